import { api, ask, type Schema } from "../../api/client";
import { Approval, ApprovalStamp } from "../../parts/Approval/Approval";
import { Ledger } from "../../parts/Ledger/Ledger";
import { useUnits } from "../../system";
import { when } from "../../words";
import { changesOf } from "./settings";

/** Proposal is one change of the settings: what it changes, why, who signed, and the way to sign. */
export function Proposal({ proposal: p, changed }: { proposal: Schema<"SafetyProposal">; changed: () => void }) {
  const units = useUnits();
  return (
    <article class="proposal" aria-label={`Proposal ${p.id}`}>
      <p class="row">
        <ApprovalStamp state={p.state} />
        <span>
          Proposed by {p.by.name}, {when(p.at)}
        </span>
      </p>
      <Ledger>
        <table>
          <thead>
            <tr>
              <th scope="col">What changes</th>
              <th scope="col">From</th>
              <th scope="col">To</th>
              <th scope="col">That is</th>
            </tr>
          </thead>
          <tbody>
            {changesOf(p, units).map((c) => (
              <tr key={c.name}>
                <th scope="row">{c.label}</th>
                <td data-of="From">{c.before}</td>
                <td data-of="To">
                  <b>{c.after}</b>
                </td>
                <td data-of="That is">{c.way}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Ledger>
      <p class="why">Why: {p.why}</p>
      <Approval
        name={`safety-${p.id}`}
        what="these safety settings"
        signatures={p.signatures}
        state={p.state}
        lacks={p.lacks}
        may={p.allowed_actions.includes("sign_safety")}
        sign={(password) => ask(api.POST("/api/v1/group/safety/{setting}/signatures", { params: { path: { setting: p.id } }, body: { password } }))}
        signed={changed}
      />
    </article>
  );
}

import { useState } from "preact/hooks";
import { Link } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { Ledger } from "../../parts/Ledger/Ledger";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";
import { useUnits } from "../../system";
import { Past } from "./Past";
import { Proposal } from "./Proposal";
import { always, groups, write, yesOrNo, type Settings } from "./settings";
import "./page.css";

type Safety = Schema<"Safety">;

export const fetchSafety = () => ask(api.GET("/api/v1/group/safety"));

/** SafetyPage is how far the group lets pressure go: what is in force, what is proposed, and what was. */
export default function SafetyPage() {
  const [changes, setChanges] = useState(0);
  const { loaded, again } = useLoad<Safety>(fetchSafety, [changes]);
  return (
    <PageFrame title="Safety settings" trail={[{ href: "/group", name: "Group" }]} wide>
      <p>
        Limits that every calculation, check and test of this group keeps. Each has a bound that no group can pass. A keeper proposes a change; it takes effect when a steward
        and a second member have signed. Local law and the makers’ instructions come first where they are stricter.
      </p>
      {loaded.state !== "here" ? <Waiting loaded={loaded} again={again} /> : <Here safety={loaded.data} changed={() => setChanges((n) => n + 1)} changes={changes} />}
    </PageFrame>
  );
}

function Here({ safety, changed, changes }: { safety: Safety; changed: () => void; changes: number }) {
  return (
    <div class="safety">
      {safety.waiting.length > 0 ? (
        <section aria-labelledby="waiting-title">
          <h2 id="waiting-title">Proposed</h2>
          {safety.waiting.map((p) => (
            <Proposal key={p.id} proposal={p} changed={changed} />
          ))}
        </section>
      ) : null}
      <section aria-labelledby="in-force-title">
        <h2 id="in-force-title">In force</h2>
        {safety.in_force ? null : <p>These are the limits that leat comes with. The group has set none of its own.</p>}
        <InForce safety={safety} />
        {safety.allowed_actions.includes("propose_safety") ? (
          <Link class="do second" href="/group/safety/propose">
            Propose other settings
          </Link>
        ) : null}
      </section>
      <Past changes={changes} />
    </div>
  );
}

function InForce({ safety }: { safety: Safety }) {
  const units = useUnits();
  const bound = (name: string) => safety.bounds.find((b) => b.name === name)?.words ?? "";
  const own = (name: keyof Settings) => safety.settings[name] !== safety.usual[name];
  return (
    <Ledger>
      {groups.map((g) => (
        <table key={g.title} aria-label={g.title}>
          <thead>
            <tr>
              <th scope="col">{g.title}</th>
              <th scope="col">In force</th>
              <th scope="col">leat comes with</th>
              <th scope="col">May be set</th>
            </tr>
          </thead>
          <tbody>
            <tr class="phone-head">
              <th scope="rowgroup" colSpan={4}>
                {g.title}
              </th>
            </tr>
            {g.settings.map((s) => (
              <tr key={s.name}>
                <th scope="row">
                  {s.label}
                  <span class="small quiet">{s.about}</span>
                </th>
                <td data-of="In force">{own(s.name) ? <b>{write(s, safety.settings, units)}</b> : write(s, safety.settings, units)}</td>
                <Usual own={own(s.name)} text={write(s, safety.usual, units)} />
                <td data-of="May be set" class="small">
                  {bound(s.name)}
                </td>
              </tr>
            ))}
            {g.settings.some((s) => s.name === "gas_floor_m") ? (
              <tr>
                <th scope="row">
                  {always.label}
                  <span class="small quiet">{always.about}</span>
                </th>
                <td data-of="In force">{own("gas_floor_always") ? <b>{yesOrNo(safety.settings)}</b> : yesOrNo(safety.settings)}</td>
                <Usual own={own("gas_floor_always")} text={yesOrNo(safety.usual)} />
                <td data-of="May be set" class="small">
                  yes or no
                </td>
              </tr>
            ) : null}
          </tbody>
        </table>
      ))}
    </Ledger>
  );
}

/** Usual is what leat comes with, where the group has set something else. */
function Usual({ own, text }: { own: boolean; text: string }) {
  return own ? <td data-of="leat comes with">{text}</td> : <td class="same quiet">the same</td>;
}

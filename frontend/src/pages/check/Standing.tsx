import type { Schema } from "../../api/client";
import type { Member } from "../../api/session";
import { Stamp } from "../../parts/Stamp/Stamp";
import { listed, when } from "../../words";
import type { Check } from "./fetch";
import { holds, sayCheck, sayOpen, shortDigest, whyNot } from "./say";

interface StandingProps {
  check: Check;
  project: Schema<"Project">;
  me: Pick<Member, "id" | "roles">;
}

/** Standing says how things stand with a letter: who issued it, who has said what, what is lacking and who could give it. */
export function Standing({ check, project, me }: StandingProps) {
  const why = whyNot(check, project, me);
  return (
    <section aria-label="How things stand" class="standing">
      <p class="gist">
        {sayCheck(check)} {check.lacks.length > 0 && holds(check.open_remarks) ? "" : sayOpen(check.open_remarks)}
      </p>
      {check.lacks.length > 0 ? (
        <ul>
          {check.lacks.map((l) => (
            <li key={l}>{l}</li>
          ))}
        </ul>
      ) : null}
      {why ? <p>{why}</p> : null}
      {check.issue ? <Issued issue={check.issue} letter={check.letter} /> : null}
      {check.outcomes.length > 0 ? (
        <ul class="outcomes" aria-label="Who has said what">
          {check.outcomes.map((o) => (
            <li key={o.link}>
              <Stamp word={o.outcome} danger={o.outcome === "return"} /> <b>{o.who.name}</b>, <span class="quiet">{when(o.at)}</span>
              {o.counts ? null : <span> It counts no longer: {o.who.name} has come onto the crew since.</span>}
              {o.note ? <p class="said">{o.note}</p> : null}
            </li>
          ))}
        </ul>
      ) : null}
    </section>
  );
}

function Issued({ issue, letter }: { issue: Schema<"RevisionIssue">; letter: string }) {
  const whom = issue.asked.length > 0 ? `Asked: ${listed(issue.asked.map((p) => p.name))}.` : "Every checker who may is asked.";
  return (
    <div class="issued">
      <p>
        Sheet {letter}.{issue.sheet} was issued by {issue.issued_by.name}, {when(issue.issued_at)}. {whom} Hazard class {issue.class}.
      </p>
      {issue.note ? <p class="said">{issue.note}</p> : null}
      <details class="off-paper">
        <summary>Digest {shortDigest(issue.digest)}</summary>
        <p class="small">
          SHA-256 over the inputs and answers of this sheet; link {issue.link} of the record. If anybody changed a figure of it, by hand in the
          database too, it would no longer fit.
        </p>
        <p class="small digest">{issue.digest}</p>
      </details>
    </div>
  );
}

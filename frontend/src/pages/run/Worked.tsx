import type { Units } from "../../system";
import { partsOf, sayFreedom } from "./budget";
import type { Worked } from "./fetch";
import { write, writeWidth, writeWith } from "./measure";
import { sayReason } from "./words";

/** sayWorked writes a value as what was read comes to, with what it may be off by. */
export function sayWorked(q: Worked, units: Units): string {
  if (q.value === null) {
    return "nothing can be said yet";
  }
  return q.expanded === null ? `${write(q, q.value, units)}, uncertainty not known` : writeWith(q, q.value, q.expanded, units);
}

/** lacks tells whether a value has something that a person must know before they go on. */
export const lacks = (q: Worked) => q.missing.length > 0 || q.expanded === null || sayReason(q.reason) !== "";

/** Budget says of a value how sure it is and where its uncertainty comes from, line by line. */
export function Budget({ of: q, units }: { of: Worked; units: Units }) {
  const parts = partsOf(q);
  const width = (signed: number) => writeWidth(q, q.value ?? signed, signed, units);
  return (
    <div class="budget">
      {q.expanded !== null && q.k !== null ? (
        <p>
          <b>{sayWorked(q, units)}</b> holds the true value in 95 of 100 such readings: k = {q.k.toFixed(2)} with {sayFreedom(q.nu)} degrees of freedom
          {q.u === null ? "" : <>, standard uncertainty {width(q.u)}</>}.
        </p>
      ) : null}
      {q.missing.length > 0 ? (
        <div class="warn">
          <p>
            <b>This is missing,</b> so nobody can say how far the value may be off, and it decides nothing:
          </p>
          <ul>
            {q.missing.map((m) => (
              <li key={m}>{m}</li>
            ))}
          </ul>
        </div>
      ) : null}
      {sayReason(q.reason) && q.missing.length === 0 ? <p class="warn">{sayReason(q.reason)}</p> : null}
      {q.warnings.map((w) => (
        <p class="note" key={w.code}>
          {w.text}
        </p>
      ))}
      {parts.length > 0 ? (
        <table>
          <caption>Where it comes from, the largest first</caption>
          <thead>
            <tr>
              <th scope="col">Error of</th>
              <th scope="col">makes ±, 1 sd</th>
              <th scope="col">of u²</th>
            </tr>
          </thead>
          <tbody>
            {parts.map((p) => (
              <tr key={p.name}>
                <th scope="row">
                  {p.name}
                  <span class="small quiet">
                    {p.instrument ? "a better instrument makes it smaller" : ""}
                    {typeof p.nu === "number" ? `${p.instrument ? "; " : ""}${sayFreedom(p.nu)} degrees of freedom` : ""}
                  </span>
                </th>
                <td>{p.signed === null ? "not known" : width(p.signed)}</td>
                <td>{p.share === null ? "–" : <Share of={p.share} />}</td>
              </tr>
            ))}
          </tbody>
        </table>
      ) : null}
    </div>
  );
}

function Share({ of: share }: { of: number }) {
  return (
    <>
      <span class="share" aria-hidden="true">
        <svg viewBox="0 0 100 8" preserveAspectRatio="none">
          <path d={`M0 4H${(100 * share).toFixed(1)}`} />
        </svg>
      </span>
      {share < 0.005 ? "< 1" : Math.round(100 * share)}
      {" %"}
    </>
  );
}

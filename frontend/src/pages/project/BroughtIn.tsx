import type { Schema } from "../../api/client";
import { day, when } from "../../words";

/** BroughtIn says which group a project comes from, and what that means for it here. */
export function BroughtIn({ origin: o }: { origin: Schema<"Origin"> }) {
  return (
    <section class="brought-in" aria-labelledby="brought-in-title">
      <h2 id="brought-in-title">Brought in from {o.group}</h2>
      <p>
        As it stood there on {when(o.written_at)}; brought in by {o.by.name} on {day(o.at)}.
      </p>
      <p>
        <b>What was signed there gives no right here.</b> A certificate that came with it does not hold. Nothing is built, tested or certified on a check of theirs: start the next letter, and have it checked in this group. Their runs count
        neither for the evidence nor for the coefficients of this group.
      </p>
      <details class="fold">
        <summary>What it can be compared by</summary>
        <p class="digest">SHA-256 of the file: {o.digest}</p>
        <p class="digest">
          Their record then ended at link {o.record.number}: {o.record.digest}
        </p>
      </details>
    </section>
  );
}

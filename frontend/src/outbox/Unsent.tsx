import { useState } from "preact/hooks";
import type { Trouble } from "../api/problem";
import { when } from "../words";
import { deliver, throwAway, tryAgain, type Parcel } from "./outbox";

/** Unsent says plainly what of this page is in this browser only, and why. */
export function Unsent({ account, parcels }: { account: number; parcels: Parcel[] }) {
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  if (parcels.length === 0) {
    return null;
  }
  const waiting = parcels.filter((p) => p.refused === null).length;
  return (
    <section class="warn unsent" aria-label="Not sent yet">
      <p role="status">
        <b>{parcels.length === 1 ? "One thing is" : `${parcels.length} things are`} in this browser only.</b>{" "}
        {waiting > 0 ? "It goes to the notebook as soon as there is signal. Don’t clear this browser until then." : ""} {trouble?.title}
      </p>
      <ul>
        {parcels.map((p) => (
          <li key={p.key}>
            {p.says} <span class="quiet">written {when(p.at)}</span>
            {p.refused !== null ? (
              <>
                <p>The notebook refused it: {p.refused}</p>
                <div class="row">
                  <button type="button" class="second" onClick={() => void tryAgain(p)}>
                    Send it again
                  </button>
                  <button type="button" class="second" onClick={() => void throwAway(p.key)}>
                    Throw it away
                  </button>
                </div>
              </>
            ) : null}
          </li>
        ))}
      </ul>
      {waiting > 0 ? (
        <button type="button" class="second" onClick={() => void deliver(account).then(setTrouble)}>
          Send now
        </button>
      ) : null}
    </section>
  );
}

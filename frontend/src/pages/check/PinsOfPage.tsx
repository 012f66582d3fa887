import type { Pin } from "../sheet/pins";
import type { Remark } from "./fetch";
import { countOf, onPin } from "./pins";
import { sorted } from "./Remarks";

/** PinMarkHere says beside a thing how many remarks stand open on it. */
export function PinMarkHere({ pin, remarks }: { pin: Pin; remarks: Remark[] }) {
  const own = onPin(remarks, pin);
  return own.length === 0 ? null : <span class={own.some((r) => r.weight === "stopper") ? "pin-mark stops" : "pin-mark"}> {countOf(own)}</span>;
}

interface PlaceProps {
  pin: Pin;
  remarks: Remark[];
  may: boolean;
  onRaise: (pin: Pin) => void;
}

/** PinPlaceHere are the remarks on one thing in short, and the way to leave another. */
export function PinPlaceHere({ pin, remarks, may, onRaise }: PlaceProps) {
  const own = sorted(onPin(remarks, pin));
  if (own.length === 0 && !may) {
    return null;
  }
  return (
    <div class="pin-place off-paper">
      {own.length > 0 ? (
        <ul>
          {own.map((r) => (
            <li key={r.id}>
              <a href={`#remark-${r.id}`}>
                {r.weight} by {r.who.name}
              </a>
              : {r.text}
            </li>
          ))}
        </ul>
      ) : null}
      {may ? (
        <button type="button" class="plain" onClick={() => onRaise(pin)} aria-label={`Leave a remark: ${pin.name}`}>
          Leave a remark on this
        </button>
      ) : null}
    </div>
  );
}

import { NumberWithUnit } from "../../parts/NumberWithUnit/NumberWithUnit";
import { unitOf } from "../stock/facts";
import type { Saw } from "./saw";

/** SawFields say how pipe is cut where the stock list does not. */
export function SawFields({ saw, onSaw }: { saw: Saw; onSaw: (saw: Saw) => void }) {
  return (
    <div class="saw off-paper">
      <NumberWithUnit
        name="kerf"
        label="Width of the saw cut"
        hint="Where the stock list does not say. Remembered on this device; at most 100 mm."
        optional
        text={saw.kerf}
        onText={(kerf) => onSaw({ ...saw, kerf })}
        unit={unitOf("kerf", saw.units)}
      />
      <NumberWithUnit
        name="trim"
        label="Cut off every bar first"
        hint="Where ends come bruised or crooked; at most 1 m."
        optional
        text={saw.trim}
        onText={(trim) => onSaw({ ...saw, trim })}
        unit={unitOf("trim", saw.units)}
      />
    </div>
  );
}

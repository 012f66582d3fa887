import { useUnits, type Units } from "../../system";
import { show } from "../../units";
import { applies, choiceWords, halfAt, labelOf, textsOf, toleranceUnit, useOf, valueAt, type CalcField } from "./fields";

const groupWords: Record<string, string> = { n_parallel: "intake", params: "coefficient", takeoff: "take-off" };

/** InputList lists what a sheet is calculated from; what it does not say takes its default. */
export function InputList({ fields, input }: { fields: CalcField[]; input: unknown }) {
  const units = useUnits();
  const texts = textsOf(fields, input, units);
  const said = fields.filter((f) => f.kind !== "object" && applies(f, texts) && sayInput(f, input, units) !== "");
  return (
    <dl class="answers">
      {said.map((f) => (
        <div key={f.at}>
          <dt>
            {groupOf(f)}: {labelOf(f)}
          </dt>
          <dd>{sayInput(f, input, units)}</dd>
        </div>
      ))}
    </dl>
  );
}

/** sayInput writes what an input says of a field, with its tolerance; empty where it says nothing. */
export function sayInput(f: CalcField, input: unknown, units: Units): string {
  const v = valueAt(input, f.at);
  if (typeof v !== "number") {
    return typeof v === "string" ? (choiceWords[v] ?? v) : "";
  }
  const half = halfAt(input, f.at);
  return show(v, units.shown(v, useOf(f)), 5) + (half === undefined ? "" : ` ± ${show(half, toleranceUnit(f, units), 3)}`);
}

export function groupOf(f: CalcField): string {
  const group = f.at.split("/")[1] ?? "";
  return groupWords[group] ?? group;
}

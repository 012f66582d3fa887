import { useUnits, type Units } from "../../system";
import { show } from "../../units";
import { applies, choiceWords, halfAt, labelOf, nameOf, textsOf, toleranceUnit, unitOf, useOf, valueAt, type CalcField } from "./fields";
import { roleWords } from "./MayBuild";
import { expand, textsOfRest, type Rest } from "./whole";

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

/** RestList lists what a sheet says beside its trompe. */
export function RestList({ rest, input }: { rest: Rest; input: unknown }) {
  const units = useUnits();
  const texts = textsOfRest(rest.inputs, input, units);
  const said = expand(rest.inputs, texts).flatMap((f) => {
    const text = f.kind === "object" ? "" : sayRest(f, input, texts, units);
    return text ? [{ f, text }] : [];
  });
  return said.length === 0 ? null : (
    <dl class="answers">
      {said.map(({ f, text }) => (
        <div key={f.at}>
          <dt>
            {whereOf(f)}: {labelOf(f)}
          </dt>
          <dd>{text}</dd>
        </div>
      ))}
    </dl>
  );
}

/** sayRest writes what an input says of a field beside the trompe; empty where it says nothing. */
export function sayRest(f: CalcField, input: unknown, texts: Record<string, string>, units: Units): string {
  const v = valueAt(input, f.at);
  const text = texts[nameOf(f.at)] ?? "";
  return typeof v === "number" ? show(v, unitOf(f, units), 5) : f.at.endsWith("/role") ? (roleWords[text] ?? text) : (choiceWords[text] ?? text);
}

/** whereOf names the section of a field, and which entry of a list it is of. */
export function whereOf(f: CalcField): string {
  const [, group = "", entry = ""] = f.at.split("/");
  const name = group.replace("_", " ");
  return /^\d+$/.test(entry) ? `${name.replace(/s$/, "")} ${Number(entry) + 1}` : name;
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

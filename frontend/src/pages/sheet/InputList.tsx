import { useUnits, type Units } from "../../system";
import { show } from "../../units";
import { applies, choiceWords, halfAt, labelOf, nameOf, textsOf, toleranceUnit, unitOf, useOf, valueAt, type CalcField } from "./fields";
import { roleWords } from "./MayBuild";
import { expand, textsOfRest, type Rest } from "./whole";

const groupWords: Record<string, string> = { n_parallel: "intake", params: "coefficient", takeoff: "take-off" };

/** One input as it is read: its pointer into the sheet's input, what it is called, and what it says. */
export interface SaidInput {
  at: string;
  /** The part of the machine or section of the sheet that it belongs to. */
  group: string;
  label: string;
  text: string;
}

/** nameOfInput is what an input is called where its group does not stand over it. */
export const nameOfInput = ({ group, label }: SaidInput) => `${group}: ${label}`;

/** saidOf are the inputs of a trompe that a sheet says; what it does not say takes its default. */
export function saidOf(fields: CalcField[], input: unknown, units: Units): SaidInput[] {
  const texts = textsOf(fields, input, units);
  return fields
    .filter((f) => f.kind !== "object" && applies(f, texts))
    .map((f) => ({ at: `/trompe${f.at}`, group: groupOf(f), label: labelOf(f), text: sayInput(f, input, units) }))
    .filter((s) => s.text !== "");
}

/** restSaidOf are the inputs that a sheet says beside its trompe. */
export function restSaidOf(rest: Rest, input: unknown, units: Units): SaidInput[] {
  const texts = textsOfRest(rest.inputs, input, units);
  return expand(rest.inputs, texts)
    .map((f) => ({ at: f.at, group: whereOf(f), label: labelOf(f), text: f.kind === "object" ? "" : sayRest(f, input, texts, units) }))
    .filter((s) => s.text !== "");
}

/** InputList lists what the trompe of a sheet is calculated from. */
export function InputList({ fields, input }: { fields: CalcField[]; input: unknown }) {
  return <List said={saidOf(fields, input, useUnits())} />;
}

/** RestList lists what a sheet says beside its trompe. */
export function RestList({ rest, input }: { rest: Rest; input: unknown }) {
  const said = restSaidOf(rest, input, useUnits());
  return said.length === 0 ? null : <List said={said} />;
}

function List({ said }: { said: SaidInput[] }) {
  return (
    <dl class="answers">
      {said.map((s) => (
        <div key={s.at}>
          <dt>{nameOfInput(s)}</dt>
          <dd>{s.text}</dd>
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

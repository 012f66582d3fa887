import type { Form } from "../../forms/form";
import { Field } from "../../parts/Field/Field";
import { NumberWithUnit } from "../../parts/NumberWithUnit/NumberWithUnit";
import { partNames } from "../../parts/Drawing/Drawing";
import type { Part } from "../../parts/Drawing/model";
import { show } from "../../units";
import { applies, choiceWords, isFirst, labelOf, nameOf, unitOf, type CalcField } from "./fields";

const parts: { id: string; title: string }[] = [
  { id: "site", title: "The place" },
  { id: "supply", title: "Water supply" },
  { id: "intake", title: "Intake" },
  { id: "downcomer", title: "Downcomer" },
  { id: "chamber", title: "Chamber" },
  { id: "riser", title: "Riser" },
  { id: "takeoff", title: "Air take-off" },
  { id: "wanted", title: "What you want" },
  { id: "params", title: "Coefficients you measured yourself" },
];

interface PartsProps {
  fields: CalcField[];
  form: Form<string>;
  fault: (name: string) => string | undefined;
  part: Part | null;
  /** The hand is at this part's inputs. */
  onPart: (part: Part) => void;
}

/** Parts are the inputs, part by part, in the order of the water. */
export function Parts({ fields, form, fault, part, onPart }: PartsProps) {
  return (
    <>
      {parts.map(({ id, title }) => {
        const own = fields.filter((f) => f.kind !== "object" && groupOf(f) === id && applies(f, form.texts));
        const often = own.filter((f) => isFirst(f, form.texts));
        const seldom = own.filter((f) => !isFirst(f, form.texts));
        const open = seldom.some((f) => fault(nameOf(f.at)));
        return (
          <fieldset key={id} id={`part-${id}`} class={part === id ? "part chosen" : "part"} onFocusIn={() => (isDrawn(id) ? onPart(id) : undefined)}>
            <legend>{title}</legend>
            {id === "chamber" ? (
              <p class="small quiet">
                <b>Air under pressure in plastic pipe stores energy</b> and throws pieces when it breaks. Local codes and licensed practice go first; nothing here is a permit.
              </p>
            ) : null}
            <div class="part-fields">{often.map((f) => <Input key={f.at} f={f} form={form} fault={fault} />)}</div>
            {seldom.length > 0 ? (
              <details open={open}>
                <summary>{often.length > 0 ? "Seldom needed" : "Show"}</summary>
                <div class="part-fields">{seldom.map((f) => <Input key={f.at} f={f} form={form} fault={fault} />)}</div>
              </details>
            ) : null}
          </fieldset>
        );
      })}
    </>
  );
}

const isDrawn = (id: string): id is Part => id in partNames;

const groupOf = (f: CalcField) => (f.at === "/n_parallel" ? "intake" : (f.at.split("/")[1] ?? ""));

function Input({ f, form, fault }: { f: CalcField; form: Form<string>; fault: (name: string) => string | undefined }) {
  const name = nameOf(f.at);
  const text = form.texts[name] ?? "";
  const common = { name, label: labelOf(f), fault: fault(name) };
  if (f.kind === "choice") {
    return (
      <Field {...common}>
        {(control) => (
          <select {...control} value={text || f.default || ""} onChange={(e) => form.set(name, e.currentTarget.value)}>
            {f.choices?.map((word) => (
              <option key={word} value={word}>
                {choiceWords[word] ?? word}
              </option>
            ))}
          </select>
        )}
      </Field>
    );
  }
  return <NumberWithUnit {...common} hint={hintOf(f)} text={text} onText={(t) => form.set(name, t)} unit={unitOf(f)} brief />;
}

/** Fields whose label says it all: their line about would only repeat it. */
const plainlyNamed = new Set([
  ...["/site/altitude_m", "/site/t_air_c", "/site/t_water_c", "/intake/n_tubes", "/intake/tube_id_m", "/intake/tube_od_m", "/intake/tube_length_m"],
  ...["/intake/tube_roughness_m", "/downcomer/bore_m", "/downcomer/outlet_m", "/downcomer/roughness_m", "/chamber/bore_m", "/chamber/length_m"],
  ...["/chamber/floor_m", "/riser/bore_m", "/riser/outlet_m", "/riser/roughness_m", "/riser/outer_bore_m", "/riser/inner_od_m", "/takeoff/bore_m"],
  ...["/takeoff/length_m", "/takeoff/roughness_m", "/takeoff/receiver_gauge_pa", "/wanted/gauge_pa", "/wanted/free_air_m3s"],
]);

/** hintOf says what a field is about and what an empty one stands for, in the units of the page. */
function hintOf(f: CalcField): string {
  const about = plainlyNamed.has(f.at) ? "" : `${f.about.charAt(0).toUpperCase()}${f.about.slice(1)}.`;
  return [about, f.required || !f.default ? "" : `Empty: ${emptyWords(f)}.`].filter(Boolean).join(" ");
}

const defaultWords: Record<string, string> = { level_max_m: "where the header spills", bore_m: "as the bore", plumb: "plumb", "outlet less lip": "from lip to outlet" };

function emptyWords(f: CalcField): string {
  const given = f.default ?? "";
  const number = Number(given);
  return defaultWords[given] ?? (Number.isFinite(number) ? show(number, unitOf(f)) : given);
}

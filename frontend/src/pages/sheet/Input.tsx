import type { Form } from "../../forms/form";
import { Field } from "../../parts/Field/Field";
import { NumberWithUnit } from "../../parts/NumberWithUnit/NumberWithUnit";
import { otherThan, type Units } from "../../system";
import { figures, show } from "../../units";
import { choiceWords, labelOf, mayVary, nameOf, ruleOf, toleranceLabel, toleranceName, unitOf, useOf, type CalcField } from "./fields";

interface InputProps {
  f: CalcField;
  /** The units that bare numbers are in. */
  units: Units;
  form: Form<string>;
  fault: (name: string) => string | undefined;
  /** Empty tolerances are shown too. */
  exact: boolean;
  /** No tolerance is taken, and the label says it all. */
  plain?: boolean;
}

/** Input is one field of the sheet, with its tolerance. */
export function Input({ f, units, form, fault, exact, plain = false }: InputProps) {
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
  const unit = unitOf(f, units);
  const also = unitOf(f, otherThan(units));
  const varies = !plain && mayVary(f) ? { tolerance: form.texts[toleranceName(f.at)] ?? "", rule: ruleOf(f, units) } : {};
  return (
    <>
      <NumberWithUnit {...common} hint={hintOf(f, units, plain)} text={text} onText={(t) => form.set(name, t)} unit={unit} also={also} {...varies} brief />
      {!plain && mayVary(f) ? <Tolerance f={f} units={units} form={form} fault={fault} exact={exact} /> : null}
    </>
  );
}

/** Tolerance is by how much the value of a field may be off: shown when given or wanted. */
function Tolerance({ f, units, form, fault, exact }: InputProps) {
  const name = toleranceName(f.at);
  const text = form.texts[name] ?? "";
  const said = fault(name);
  const rule = ruleOf(f, units);
  if (!exact && text === "" && said === undefined) {
    return null;
  }
  return (
    <div class="tolerance">
      <Field name={name} label={toleranceLabel(f)} fault={said}>
        {(control) => (
          <div class="number">
            <input {...control} type="text" inputMode="decimal" autocomplete="off" value={text} onInput={(e) => form.set(name, e.currentTarget.value)} />
            <span class="unit">{rule.unit.name || "±"}</span>
          </div>
        )}
      </Field>
    </div>
  );
}

/** Fields whose label says it all: their line about would only repeat it. */
const plainlyNamed = new Set([
  ...["/site/altitude_m", "/site/t_air_c", "/site/t_water_c", "/intake/n_tubes", "/intake/tube_id_m", "/intake/tube_od_m", "/intake/tube_length_m"],
  ...["/intake/tube_roughness_m", "/downcomer/bore_m", "/downcomer/outlet_m", "/downcomer/roughness_m", "/chamber/bore_m", "/chamber/length_m"],
  ...["/chamber/floor_m", "/riser/bore_m", "/riser/outlet_m", "/riser/roughness_m", "/riser/outer_bore_m", "/riser/inner_od_m", "/takeoff/bore_m"],
  ...["/takeoff/length_m", "/takeoff/roughness_m", "/takeoff/receiver_gauge_pa", "/wanted/gauge_pa", "/wanted/free_air_m3s"],
]);

/** hintOf says what a field is about and what an empty one stands for, in the units of the page. */
function hintOf(f: CalcField, units: Units, plain: boolean): string {
  const about = plain || plainlyNamed.has(f.at) ? "" : `${f.about.charAt(0).toUpperCase()}${f.about.slice(1)}.`;
  const known = f.u === undefined ? "" : ` ± ${figures(f.u)} (standard uncertainty)`;
  const range = f.u === undefined || f.low === undefined || f.high === undefined ? "" : `Between ${figures(f.low)} and ${figures(f.high)}.`;
  return [about, f.required || !f.default ? "" : `Empty: ${emptyWords(f, units)}${known}.`, range].filter(Boolean).join(" ");
}

const defaultWords: Record<string, string> = { level_max_m: "where the header spills", bore_m: "as the bore", plumb: "plumb", "outlet less lip": "from lip to outlet" };

function emptyWords(f: CalcField, units: Units): string {
  const given = f.default ?? "";
  const number = Number(given);
  return defaultWords[given] ?? (Number.isFinite(number) ? show(number, units.shown(number, useOf(f))) : given);
}

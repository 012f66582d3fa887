import type { Schema } from "../../api/client";
import { show, unitNamed, type Unit } from "../../units";
import type { Units, Use } from "../../system";
import { applies, labelOf, textsOf, valueAt, type CalcField } from "./fields";
import { sayInput } from "./InputList";

/** What a report was made from: the declarations of the calculation, and the input. */
export interface Basis {
  inputs: CalcField[];
  outputs: CalcField[];
  input: unknown;
}

/** Shares that are shown in per cent. */
const percents = /^\/(fill_factor|void_top|void_max|alpha_sat|separation_efficiency|efficiency|oxygen_fraction_dry|profile\/void)$/;

const own: Record<string, Unit> = {
  W: unitNamed("power", "W"),
  "g/kg": { name: "g/kg", quantity: "number", mul: 1, div: 1, shift: 0, spellings: [] },
};

/** useOf says how an output is shown. */
export function useOf(f: CalcField): Use {
  switch (f.unit) {
    case "m":
      return f.at === "/bubble_d32_m" ? "bore" : "level";
    case "Pa":
      return "pressure";
    case "m³/s":
      return f.at.includes("water") ? "flow" : "free_air";
    case "m/s":
      return "speed";
    case "°C":
      return "temperature";
    default:
      return percents.test(f.at) ? "percent" : "ratio";
  }
}

/** unitsFor gives the reader's units, or the one unit that a few outputs have in every system. */
export function unitsFor(f: CalcField, units: Units): Units {
  const unit = own[f.unit ?? ""];
  return unit ? { ...units, shown: () => unit, write: (value) => show(value, unit, 3) } : units;
}

const nothing = 1e-12; // in SI units: what a solver leaves where a quantity is 0

/** numberAt reads a number of a result or of an input by its JSON Pointer; null where there is none. */
export function numberAt(of: unknown, at: string): number | null {
  const v = valueAt(of, at);
  return typeof v !== "number" ? null : Math.abs(v) < nothing ? 0 : v;
}

/** An input that stands in an equation, as the sheet has it. */
export interface Given {
  at: string;
  label: string;
  text: string;
}

/** givenIn lists those of the named inputs that the sheet says, or that take a default. */
export function givenIn(basis: Basis, from: string[], units: Units): Given[] {
  const texts = textsOf(basis.inputs, basis.input, units);
  return basis.inputs
    .filter((f) => f.kind !== "object" && !f.at.startsWith("/params/") && from.includes(f.at) && applies(f, texts))
    .flatMap((f) => {
      const said = sayInput(f, basis.input, units);
      return said === "" && f.default === undefined ? [] : [{ at: f.at, label: labelOf(f), text: said || `${f.default ?? ""}, as nothing else was said` }];
    });
}

/** A coefficient in an equation: the value in force and what is known of it. */
export interface Coefficient {
  at: string;
  name: string;
  text: string;
  about: string;
}

/** coefficientsIn lists the named coefficients with their values, standard uncertainties and ranges. */
export function coefficientsIn(basis: Basis, from: string[], units: Units): Coefficient[] {
  return basis.inputs
    .filter((f) => f.at.startsWith("/params/") && from.includes(f.at))
    .map((f) => {
      const measured = sayInput(f, basis.input, units);
      const value = measured ? `${measured}, as you measured it` : `${f.default ?? ""}${f.u === undefined ? "" : ` ± ${f.u}`}`;
      return { at: f.at, name: labelOf(f), text: `${value}; may be ${f.above_low ? "above " : ""}${f.low ?? "…"} to ${f.high ?? "…"}`, about: f.about };
    });
}

export const fieldAt = (fields: CalcField[], at: string): Schema<"CalcField"> | undefined => fields.find((f) => f.at === at);

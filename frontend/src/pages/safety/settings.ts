import type { Schema } from "../../api/client";
import type { Texts } from "../../forms/form";
import type { Entry } from "../../parts/ErrorSummary/ErrorSummary";
import { unitsIn, type Units } from "../../system";
import { understand } from "../../typed";
import { asTyped, fromBase, figures, unitNamed, withUnit, type Unit } from "../../units";

export type Settings = Schema<"SafetySettings">;
export type Name = keyof Settings;
/** The settings that are numbers. */
export type NumberName = Exclude<Name, "gas_floor_always">;

/** One setting in words. */
export interface Setting {
  name: NumberName;
  label: string;
  about: string;
  unit: (units: Units) => Unit;
}

const plain = unitNamed("number", "");
const joule = () => unitNamed("energy", "J");
const pressure = (units: Units) => units.typed("pressure");
const distance = (units: Units) => units.typed("length");
const factor = () => plain;
/** A count of something that is no quantity of its own. */
const counted = (name: string) => () => ({ ...plain, name });
/** A bar litre is 100 J, exactly. */
const barLitre: Unit = { ...joule(), name: "bar L", mul: 100, spellings: [] };

export const groups: { title: string; settings: Setting[] }[] = [
  {
    title: "Gas in pipes and vessels",
    settings: [
      { name: "p_low_pa", label: "Harmless gas pressure", about: "Up to this, air in a part can do little, and drain pipe may hold water.", unit: pressure },
      { name: "p_brittle_max_pa", label: "Gas in plastic that splinters", about: "PVC and its like hold no gas above this, whatever their rating for water.", unit: pressure },
      { name: "e_low_j", label: "Harmless energy", about: "So much gas let go at once throws nothing that hurts.", unit: joule },
      { name: "e_brittle_max_j", label: "Energy in plastic that splinters", about: "The most gas, by its energy, that such a part may hold.", unit: joule },
      { name: "e_competent_j", label: "Energy that a steward looks at", about: "Above this a part wants the group’s competent person.", unit: joule },
      { name: "pv_home_j", label: "Vessels without a mark", about: "Pressure times volume up to which one may be home-made.", unit: () => barLitre },
    ],
  },
  {
    title: "Distance while pressure rises",
    settings: [
      { name: "gas_floor_m", label: "From gas, at least", about: "Pieces fly. Less than 30 m counts only behind a barrier that holds them, and up to 1356 J.", unit: distance },
      { name: "water_floor_m", label: "From water, at least", about: "Also from gas that can do little.", unit: distance },
    ],
  },
  {
    title: "Pressure tests",
    settings: [
      { name: "hydro_factor", label: "Water test over design pressure", about: "How many times the pressure that the machine can see.", unit: factor },
      { name: "hold_plastic_minutes", label: "Hold of plastics", about: "How long the test pressure stands.", unit: counted("min") },
      { name: "hold_metal_minutes", label: "Hold of metal", about: "How long the test pressure stands.", unit: counted("min") },
      { name: "gauge_age_days", label: "Calibration of a test gauge", about: "For how long it counts, whatever the register says.", unit: counted("days") },
      { name: "cure_floor_hours", label: "Cement cures, at least", about: "Before the test, however warm it is.", unit: counted("h") },
    ],
  },
  {
    title: "Strength",
    settings: [
      { name: "collapse_factor", label: "Against pressure from outside", about: "How many times stronger than the load.", unit: factor },
      { name: "ram_factor", label: "Rams on plastic", about: "Part of its rating that the shocks may swing through.", unit: factor },
    ],
  },
  {
    title: "Checks and certificates",
    settings: [
      { name: "checkers_plain", label: "Checkers of a plain machine", about: "Who must say clear.", unit: factor },
      { name: "checkers_raised", label: "Checkers with a raised hazard", about: "Who must say clear.", unit: factor },
      { name: "certificate_months", label: "A certificate lives, at most", about: "Until something of the machine changes, or this long.", unit: counted("months") },
      { name: "certificate_gas_months", label: "With gas on conditions", about: "Where a part holds gas that is allowed on conditions only.", unit: counted("months") },
    ],
  },
];

export const always = {
  label: "The distance of gas counts always",
  about: "Without it, gas that can do little takes the distance of water: no garden has 30 m.",
};

export const all: Setting[] = groups.flatMap((g) => g.settings);

/** write shows a setting with its unit. */
export function write(s: Setting, settings: Settings, units: Units): string {
  const unit = s.unit(units);
  return withUnit(figures(fromBase(settings[s.name], unit), 4), unit);
}

/** yesOrNo says the one setting that is no number. */
export const yesOrNo = (settings: Settings) => (settings.gas_floor_always ? "yes" : "no");

/** One setting that a proposal changes. */
export interface Change {
  name: Name;
  label: string;
  before: string;
  after: string;
  way: string;
}

/** changesOf lists what a proposal changes, and whether it is stricter. */
export function changesOf(p: Schema<"SafetyProposal">, units: Units): Change[] {
  const way = (name: Name) => (p.tightens.includes(name) ? "stricter" : "looser");
  const numbers = all
    .filter((s) => p.before[s.name] !== p.settings[s.name])
    .map((s) => ({ name: s.name, label: s.label, before: write(s, p.before, units), after: write(s, p.settings, units), way: way(s.name) }));
  return p.before.gas_floor_always === p.settings.gas_floor_always
    ? numbers
    : [...numbers, { name: "gas_floor_always", label: always.label, before: yesOrNo(p.before), after: yesOrNo(p.settings), way: way("gas_floor_always") }];
}

/** The fields of the form, as typed; units is the system of bare numbers. */
export type Field = Name | "why" | "units";

export function textsOf(settings: Settings, system: string): Texts<Field> {
  const units = unitsIn(system);
  const numbers = Object.fromEntries(all.map((s) => [s.name, asTyped(settings[s.name], s.unit(units))]));
  return { ...(numbers as Texts<NumberName>), gas_floor_always: String(settings.gas_floor_always), why: "", units: system };
}

/** settingsOf reads the form. What was not touched stays as it is in force, to the last digit. */
export function settingsOf(texts: Texts<Field>, inForce: Settings): { settings: Settings } | { faults: Entry[] } {
  const units = unitsIn(texts.units);
  const start = textsOf(inForce, texts.units);
  const settings: Settings = { ...inForce, gas_floor_always: texts.gas_floor_always === "true" };
  const faults: Entry[] = [];
  for (const s of all) {
    if (texts[s.name] === start[s.name]) {
      continue;
    }
    const u = understand(texts[s.name], s.unit(units));
    if (u.kind === "value") {
      settings[s.name] = u.base;
    } else {
      faults.push({ field: s.name, message: `${s.label}: ${u.kind === "unclear" ? u.message : "type a number."}` });
    }
  }
  return faults.length > 0 ? { faults } : { settings };
}

/** fieldOf finds the field that a pointer of the server means. */
export function fieldOf(pointer: string): string | undefined {
  return /^\/(?:settings\/)?(\w+)$/.exec(pointer)?.[1];
}

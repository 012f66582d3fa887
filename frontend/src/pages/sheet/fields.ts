import type { Schema } from "../../api/client";
import type { Entry } from "../../parts/ErrorSummary/ErrorSummary";
import { otherThan, textFor, unitsIn, type Units, type Use } from "../../system";
import { understandMeasure, withItsUnit, type Measure, type ToleranceRule } from "../../tolerance";
import { understand } from "../../typed";
import { spanOf, unitNamed, type Unit } from "../../units";
import { labels } from "./labels";

export type CalcField = Schema<"CalcField">;

/**
 * The texts of a sheet, by the name of their field; a tolerance stands under a
 * name of its own. Under "units" stands the system that bare numbers are in.
 */
export type SheetTexts = Record<string, string>;

/** What a builder calls a choice. */
export const choiceWords: Record<string, string> = {
  forebay: "open water at a level",
  hose_open: "a hose filling an open header",
  hose_closed: "a hose coupled to a closed head",
  horizontal: "a pipe lying down",
  vertical: "a pipe standing up",
  plan: "any other, by its water surface",
  pipe: "a pipe",
  annulus: "the ring around the downcomer",
  blowoff_level: "all of it, at the highest pressure",
  receiver: "into a receiver",
  open: "into the open air",
  closed: "valve shut",
  riser: "the riser",
  trompe: "a trompe: falling water compresses air",
  ram: "a ram: falling water lifts water",
  lift: "a ram that lifts water to a taller trompe",
  pulse: "a trompe whose air the beats of a ram boost",
  stream: "a stream",
  main: "a hose or main",
  roof: "a roof",
  tank: "a tank",
  aeration: "a diffuser under water",
  airlift: "an airlift",
  orifice_air: "a nozzle",
  forge: "a forge",
  tool_air: "an air tool",
  supply_pipe: "supply pipe",
  downcomer: "downcomer",
  chamber: "chamber",
  air_line: "air line",
  drive_pipe: "drive pipe",
  air_vessel: "air vessel",
  delivery_pipe: "delivery pipe",
  other: "another part",
  push_ring: "pushed into a ring",
  push_in: "pushed in",
  half_round: "half round",
  nonpressure: "not made for pressure: drain, waste, rainwater",
  brittle: "bursts into splinters: PVC, acrylic",
  ductile: "tears: PE, ABS",
  metal: "metal",
  flexible: "flexible: hose, small tube",
  exposed: "in the open",
  guarded: "in a casing that holds pieces",
  buried: "buried, 0.6 m of cover",
  submerged: "under open water",
};

/** What every machine needs; the rest stands folded away. */
const first = new Set([
  "/site/altitude_m", "/site/t_air_c", "/site/t_water_c", "/site/ground_m", "/supply/type", "/supply/level_m", "/supply/flow_max_m3s", "/supply/static_pa", "/supply/z_m",
  "/supply/level_max_m", "/intake/mouth_m", "/intake/n_tubes", "/intake/tube_id_m", "/intake/tube_od_m", "/intake/tube_length_m", "/downcomer/bore_m",
  "/downcomer/outlet_m", "/chamber/kind", "/chamber/bore_m", "/chamber/length_m", "/chamber/floor_m", "/chamber/plan_area_m2", "/chamber/lip_m",
  "/chamber/high_m", "/riser/kind", "/riser/bore_m", "/riser/outer_bore_m", "/riser/inner_od_m", "/riser/outlet_m", "/takeoff/mode",
  "/takeoff/receiver_gauge_pa", "/takeoff/blowoff_route", "/wanted/gauge_pa", "/wanted/free_air_m3s",
]);

export function isFirst(f: CalcField, texts: SheetTexts): boolean {
  return first.has(f.at) || (f.at === "/supply/k_pa_s2_m6" && texts["supply-type"] !== "forebay");
}

/** nameOf is the name of the field that a pointer into the input means, or of its tolerance. */
export function nameOf(at: string): string {
  const of = /^\/tolerances\/(.+)$/.exec(at)?.[1];
  return of ? toleranceName(of.replaceAll("~1", "/")) : at.slice(1).replaceAll("/", "-");
}

export const toleranceName = (at: string) => `${nameOf(at)}-tolerance`;
/** labelOf is what a field is called; one without a name of its own by what it says about itself. */
export const labelOf = (f: CalcField) => labels[f.at] ?? labels[f.at.replace(/^\/(uses|parts)\/\d+/, "/$1")] ?? `${f.about.charAt(0).toUpperCase()}${f.about.slice(1)}`;

export const toleranceLabel = (f: CalcField) => `${labelOf(f)}: off by at most\u00A0±`;

/** useOf says what a field measures, as far as units go. */
export function useOf(f: CalcField): Use {
  if (f.unit === "m") {
    return /bore|_id_m|_od_m|roughness|wall|\/D$|\/eps$/.test(f.at) ? "bore" : "level";
  }
  const uses: Record<string, Use> = {
    Pa: "pressure",
    "m³/s": /air|free/.test(f.at) ? "free_air" : "flow",
    "m²": f.at.includes("plan") ? "area" : "section",
    "m³": "volume",
    "m/s": "speed",
    "°C": "temperature",
  };
  return uses[f.unit ?? ""] ?? "ratio";
}

/** Units that a field has in every system. */
const fixed: Record<string, Unit> = { s: unitNamed("time", "s"), W: unitNamed("power", "W") };

/** unitOf is the unit that a bare number in this field is in. */
export function unitOf(f: CalcField, units: Units): Unit {
  const own = f.unit ?? "";
  if (own === "Pa" && /\/(E_wall|e_pa)$/.test(f.at)) {
    return unitNamed("pressure", "GPa");
  }
  const use = useOf(f);
  return fixed[own] ?? (use === "ratio" && own !== "" ? { name: own, quantity: "number", mul: 1, div: 1, shift: 0, spellings: [] } : units.typed(use));
}

/** toleranceUnit is the unit of a bare tolerance; those of levels are as small as those of bores. */
export function toleranceUnit(f: CalcField, units: Units): Unit {
  const use = useOf(f);
  return spanOf(units.typed(use === "level" ? "bore" : use));
}

/** mayVary says whether a tolerance of the field means anything. */
export const mayVary = (f: CalcField) => f.kind === "number" && !f.at.startsWith("/wanted/") && f.at !== "/site/ground_m";

/** ruleOf is what a tolerance of the field is read by. */
export function ruleOf(f: CalcField, units: Units): ToleranceRule {
  const preset = f.default ? Number(f.default) : NaN;
  return { unit: toleranceUnit(f, units), low: f.low, above: f.above_low, ...(Number.isFinite(preset) ? { preset } : {}) };
}

/** readField reads a number field with its tolerance. */
export function readField(f: CalcField, texts: SheetTexts): Measure {
  const units = unitsIn(texts["units"]);
  const [text, tolerance] = [texts[nameOf(f.at)] ?? "", texts[toleranceName(f.at)] ?? ""];
  return mayVary(f) ? understandMeasure(text, tolerance, unitOf(f, units), ruleOf(f, units)) : { value: understand(text, unitOf(f, units)), half: { kind: "empty" } };
}

/** applies says whether a field has a meaning with the choices made. */
export function applies(f: CalcField, texts: SheetTexts): boolean {
  return !f.when || f.when.is.includes(texts[nameOf(f.when.at)] || (f.when.else ?? ""));
}

type Group = Record<string, unknown>;
const isGroup = (v: unknown): v is Group => typeof v === "object" && v !== null && !Array.isArray(v);

/** valueAt looks up what an input has at a pointer. */
export function valueAt(input: unknown, at: string): unknown {
  return at.slice(1).split("/").reduce<unknown>((o, name) => (isGroup(o) ? o[name] : Array.isArray(o) ? (o as unknown[])[Number(name)] : undefined), input);
}

/** halfAt looks up the tolerance that an input gives to a field. */
export function halfAt(input: unknown, at: string): number | undefined {
  const all = isGroup(input) ? input["tolerances"] : undefined;
  const half = isGroup(all) ? all[at] : undefined;
  return typeof half === "number" ? half : undefined;
}

/** textsOf writes a saved input as a person would type it. */
export function textsOf(fields: CalcField[], input: unknown, units: Units): SheetTexts {
  const texts: SheetTexts = { units: units.system };
  const other = otherThan(units);
  for (const f of fields) {
    const v = valueAt(input, f.at);
    texts[nameOf(f.at)] ||= typeof v === "number" ? textFor(v, unitOf(f, units), unitOf(f, other)) : typeof v === "string" ? v : "";
    const half = halfAt(input, f.at);
    if (mayVary(f)) {
      // Written when empty too: that somebody took a tolerance away is a change like any other.
      texts[toleranceName(f.at)] ||= half === undefined ? "" : textFor(half, toleranceUnit(f, units), toleranceUnit(f, other));
    }
  }
  return texts;
}

/**
 * inUnits goes on with texts under another system: each bare number gets the
 * unit that it was typed in written after it, so that it still means the same.
 * Texts that do not say their system are from before there was a choice.
 */
export function inUnits(fields: CalcField[], texts: SheetTexts, units: Units): SheetTexts {
  const from = unitsIn(texts["units"]);
  const named: SheetTexts = { ...texts, units: units.system };
  const name = (field: string, was: Unit, is: Unit) => {
    const text = texts[field];
    if (text !== undefined && was.name !== is.name) {
      named[field] = withItsUnit(text, was);
    }
  };
  for (const f of fields.filter((x) => x.kind === "number")) {
    name(nameOf(f.at), unitOf(f, from), unitOf(f, units));
    name(toleranceName(f.at), toleranceUnit(f, from), toleranceUnit(f, units));
  }
  return named;
}

/** inputOf makes the input of the calculation from what was typed, and lists what could not be read. */
export function inputOf(fields: CalcField[], texts: SheetTexts): { input: Group; faults: Entry[] } {
  const input: Group = {};
  const faults: Entry[] = [];
  const halves: Record<string, number> = {};
  for (const f of fields.filter((x) => ["number", "count", "choice"].includes(x.kind) && applies(x, texts))) {
    const text = (texts[nameOf(f.at)] ?? "").trim();
    if (f.kind === "choice") {
      put(input, f.at, text || undefined);
      continue;
    }
    const { value, half } = readField(f, texts);
    if (value.kind === "value") {
      put(input, f.at, Number(value.base.toPrecision(12)));
    } else if (value.kind === "unclear") {
      faults.push({ field: nameOf(f.at), message: `${labelOf(f)}: ${value.message}` });
    }
    if (half.kind === "value") {
      halves[f.at] = Number(half.base.toPrecision(12));
    } else if (half.kind === "unclear") {
      faults.push({ field: /[±+]/.test(text) ? nameOf(f.at) : toleranceName(f.at), message: `${labelOf(f)}: ${half.message}` });
    }
  }
  return { input: Object.keys(halves).length > 0 ? { ...input, tolerances: halves } : input, faults };
}

/** put sets a value at a pointer; what is missing on the way is made, a list where a number follows. */
export function put(input: Group, at: string, value: unknown): void {
  if (value === undefined) {
    return;
  }
  const names = at.slice(1).split("/");
  const last = names.pop() ?? "";
  let here: Group | unknown[] = input;
  names.forEach((name, i) => {
    const held: unknown = Array.isArray(here) ? here[Number(name)] : here[name];
    const below: Group | unknown[] = isGroup(held) || Array.isArray(held) ? held : /^\d+$/.test(names[i + 1] ?? last) ? [] : {};
    set(here, name, below);
    here = below;
  });
  set(here, last, value);
}

function set(into: Group | unknown[], name: string, value: unknown): void {
  if (Array.isArray(into)) {
    into[Number(name)] = value;
  } else {
    into[name] = value;
  }
}

/** same compares two inputs, whatever the order of their fields. */
export function same(a: unknown, b: unknown): boolean {
  if (isGroup(a) && isGroup(b)) {
    const names = new Set([...Object.keys(a), ...Object.keys(b)]);
    return [...names].every((n) => same(a[n], b[n]));
  }
  if (Array.isArray(a) && Array.isArray(b)) {
    return a.length === b.length && a.every((x, i) => same(x, b[i]));
  }
  return a === b;
}

import type { Schema } from "../../api/client";
import type { Entry } from "../../parts/ErrorSummary/ErrorSummary";
import { understand } from "../../typed";
import { asTyped, unitNamed, type Unit } from "../../units";

export type CalcField = Schema<"CalcField">;

/** The texts of a sheet, by the name of their field. */
export type SheetTexts = Record<string, string>;

/** What a builder calls a field; the rest is called by what it says about itself. */
const labels: Record<string, string> = {
  "/n_parallel": "Intakes side by side",
  "/site/altitude_m": "Height above the sea",
  "/site/p_amb_pa": "Air pressure, if measured",
  "/site/t_air_c": "Air temperature",
  "/site/t_water_c": "Water temperature",
  "/site/rh": "Relative humidity, 0 to 1",
  "/site/g": "Gravity",
  "/site/water_saturation": "Air in the water, 1 = saturated",
  "/site/ground_m": "Level of the ground",
  "/supply/type": "Where the water comes from",
  "/supply/level_m": "Water level",
  "/supply/flow_max_m3s": "All the water there is",
  "/supply/static_pa": "Hose pressure, tap shut at the end",
  "/supply/z_m": "Level of that gauge",
  "/supply/k_pa_s2_m6": "Loss factor of the supply line",
  "/supply/level_max_m": "Level at which the header spills",
  "/supply/outlet_m": "Level of the hose end",
  "/intake/mouth_m": "Level of the air tubes’ lower ends",
  "/intake/n_tubes": "Number of air tubes",
  "/intake/tube_id_m": "Air tube, inside",
  "/intake/tube_od_m": "Air tube, outside",
  "/intake/tube_length_m": "Air tube, length",
  "/intake/tube_roughness_m": "Air tube, wall roughness",
  "/intake/port_cda_m2": "Common air port, effective area",
  "/intake/throat_area_m2": "Water area between the tubes",
  "/intake/bundle_length_m": "Tubes reach into the bore by",
  "/intake/k_in": "Entry loss, velocity heads",
  "/downcomer/bore_m": "Downcomer, inside",
  "/downcomer/outlet_m": "Level of its lower end",
  "/downcomer/length_m": "Length along the pipe",
  "/downcomer/roughness_m": "Wall roughness",
  "/downcomer/k_minor": "Fittings, velocity heads",
  "/downcomer/outlet_bore_m": "Flared end, inside",
  "/chamber/kind": "Kind of chamber",
  "/chamber/bore_m": "Chamber, inside",
  "/chamber/length_m": "Chamber, length",
  "/chamber/floor_m": "Level of the floor",
  "/chamber/inner_od_m": "Pipe standing in it, outside",
  "/chamber/plan_area_m2": "Water surface from above",
  "/chamber/lip_m": "Level of the riser’s lip",
  "/chamber/high_m": "Highest water level",
  "/riser/kind": "Kind of riser",
  "/riser/bore_m": "Riser, inside",
  "/riser/count": "Risers side by side",
  "/riser/outer_bore_m": "Outer pipe, inside",
  "/riser/inner_od_m": "Inner pipe, outside",
  "/riser/outlet_m": "Level at which the water leaves",
  "/riser/length_m": "Length along the pipe",
  "/riser/roughness_m": "Wall roughness",
  "/riser/k_minor": "Entry and bends, velocity heads",
  "/takeoff/mode": "How the air is taken",
  "/takeoff/receiver_gauge_pa": "Pressure in the receiver",
  "/takeoff/blowoff_route": "Air leaves by",
  "/takeoff/bore_m": "Air line, inside",
  "/takeoff/length_m": "Air line, length",
  "/takeoff/roughness_m": "Air line, wall roughness",
  "/takeoff/k": "Air line fittings, velocity heads",
  "/takeoff/valve_cda_m2": "Open valve, effective area",
  "/wanted/gauge_pa": "Pressure wanted",
  "/wanted/free_air_m3s": "Free air wanted",
};

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

export const nameOf = (at: string) => at.slice(1).replaceAll("/", "-");
export const labelOf = (f: CalcField) => labels[f.at] ?? f.at.slice(f.at.lastIndexOf("/") + 1);

const metre = unitNamed("length", "m");
const millimetre = unitNamed("length", "mm");
const plain = unitNamed("number", "");

/** unitOf is the unit that a bare number in this field is in. */
export function unitOf(f: CalcField): Unit {
  if (f.unit === "m") {
    return /bore|_id_m|_od_m|roughness/.test(f.at) ? millimetre : metre;
  }
  const given: Record<string, Unit> = {
    Pa: unitNamed("pressure", "bar"),
    "m³/s": unitNamed("flow", "L/min"),
    "m²": unitNamed("area", f.at.includes("plan") ? "m²" : "mm²"),
    "°C": unitNamed("temperature", "°C"),
  };
  return given[f.unit ?? ""] ?? plain;
}

/** applies says whether a field has a meaning with the choices made. */
export function applies(f: CalcField, texts: SheetTexts): boolean {
  return !f.when || f.when.is.includes(texts[nameOf(f.when.at)] || (f.when.else ?? ""));
}

type Group = Record<string, unknown>;
const isGroup = (v: unknown): v is Group => typeof v === "object" && v !== null && !Array.isArray(v);

/** textsOf writes a saved input as a person would type it. */
export function textsOf(fields: CalcField[], input: unknown): SheetTexts {
  const texts: SheetTexts = {};
  for (const f of fields) {
    const v = f.at.slice(1).split("/").reduce<unknown>((o, name) => (isGroup(o) ? o[name] : undefined), input);
    const own = typeof v === "number" ? asTyped(v, unitOf(f)) : typeof v === "string" ? v : "";
    texts[nameOf(f.at)] ||= own;
  }
  return texts;
}

/** inputOf makes the input of the calculation from what was typed, and lists what could not be read. */
export function inputOf(fields: CalcField[], texts: SheetTexts): { input: Group; faults: Entry[] } {
  const input: Group = {};
  const faults: Entry[] = [];
  for (const f of fields.filter((x) => x.kind !== "object" && applies(x, texts))) {
    const text = (texts[nameOf(f.at)] ?? "").trim();
    if (text === "") {
      continue;
    }
    if (f.kind === "choice") {
      put(input, f.at, text);
      continue;
    }
    const read = understand(text, unitOf(f));
    if (read.kind === "value") {
      put(input, f.at, Number(read.base.toPrecision(12)));
    } else if (read.kind === "unclear") {
      faults.push({ field: nameOf(f.at), message: `${labelOf(f)}: ${read.message}` });
    }
  }
  return { input, faults };
}

function put(input: Group, at: string, value: unknown): void {
  const names = at.slice(1).split("/");
  const last = names.pop() ?? "";
  let group = input;
  for (const name of names) {
    const below = isGroup(group[name]) ? group[name] : {};
    group[name] = below;
    group = below;
  }
  group[last] = value;
}

/** same compares two inputs, whatever the order of their fields. */
export function same(a: unknown, b: unknown): boolean {
  if (isGroup(a) && isGroup(b)) {
    const names = new Set([...Object.keys(a), ...Object.keys(b)]);
    return [...names].every((n) => same(a[n], b[n]));
  }
  return a === b;
}

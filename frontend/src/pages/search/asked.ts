import type { Schema } from "../../api/client";
import type { Texts } from "../../forms/form";
import type { Entry } from "../../parts/ErrorSummary/ErrorSummary";
import { otherThan, textFor, unitsIn, type Units, type Use } from "../../system";
import { understand } from "../../typed";
import { unitNamed, type Unit } from "../../units";
import { flowUnits } from "../site/facts";

type Site = Schema<"Site">;

/** What is asked, as typed. flow_unit is the unit of a bare flow, units the system of the other bare numbers. */
export type AskedField = "flow" | "flow_unit" | "units" | "fall" | "depth" | "wish" | "gauge" | "air" | "family" | "t_air" | "t_water" | "altitude";
export type AskedTexts = Texts<AskedField>;

interface Figure {
  key: "flow_m3s" | "fall_m" | "depth_m" | "gauge_pa" | "free_air_m3s" | "t_air_c" | "t_water_c" | "altitude_m";
  label: string;
  unit: (texts: AskedTexts) => Unit;
}

const typed = (use: Use) => (texts: AskedTexts) => unitsIn(texts.units).typed(use);
const flowUnit = (texts: AskedTexts) => flowUnits.find((u) => u.name === texts.flow_unit) ?? unitNamed("flow", "L/s");

export const figures = {
  flow: { key: "flow_m3s", label: "Flow", unit: flowUnit },
  fall: { key: "fall_m", label: "Fall", unit: typed("level") },
  depth: { key: "depth_m", label: "Depth that can be dug", unit: typed("level") },
  gauge: { key: "gauge_pa", label: "Pressure, at least", unit: typed("pressure") },
  air: { key: "free_air_m3s", label: "Air, at least", unit: typed("free_air") },
  t_air: { key: "t_air_c", label: "Air temperature", unit: typed("temperature") },
  t_water: { key: "t_water_c", label: "Water temperature", unit: typed("temperature") },
  altitude: { key: "altitude_m", label: "Height above the sea", unit: typed("level") },
} satisfies Record<string, Figure>;
export type FigureField = keyof typeof figures;
const figureNames = Object.keys(figures) as FigureField[];

export const wishes = [
  { value: "most_air", name: "Most air", means: "Without a pressure to keep to, that means little pressure." },
  { value: "pressure", name: "A pressure", means: "The most air of all machines that reach it." },
  { value: "least_pipe", name: "Least pipe", means: "The least plastic that still gives the air." },
  { value: "least_digging", name: "Least digging", means: "The shallowest hole that still gives the air." },
] as const;
export type Wish = (typeof wishes)[number]["value"];

export const wishOf = (text: string): Wish => wishes.find((w) => w.value === text)?.value ?? "most_air";

/** asksAir tells whether a wish is one for given air, asksPressure whether it is one for a given pressure. */
export const asksAir = (wish: Wish) => wish === "least_pipe" || wish === "least_digging";
export const asksPressure = (wish: Wish) => wish === "pressure";

/** startOf is the form before anything is typed, filled from a site where there is one. */
export function startOf(site: Site | null, units: Units, flow_unit: string): AskedTexts {
  const texts: AskedTexts = {
    ...{ flow: "", flow_unit, units: units.system, fall: "", depth: "", wish: "most_air", gauge: "", air: "" },
    ...{ family: "", t_air: "", t_water: "", altitude: "" },
  };
  const other = { ...texts, units: otherThan(units).system };
  for (const f of figureNames) {
    const { key, unit }: Figure = figures[f];
    const kept = site && key in site ? site[key as "flow_m3s"] : null;
    texts[f] = kept === null ? "" : textFor(kept, unit(texts), unit(other));
  }
  return texts;
}

/** bodyOf reads the form. What is not needed and not typed is left out; ranges are the server's. */
export function bodyOf(texts: AskedTexts): { body: Schema<"StartSearch"> } | { faults: Entry[] } {
  const faults: Entry[] = [];
  const wish = wishOf(texts.wish);
  const needed: FigureField[] = ["flow", "fall", ...(asksPressure(wish) ? ["gauge" as const] : []), ...(asksAir(wish) ? ["air" as const] : [])];
  const read: Partial<Record<Figure["key"], number>> = {};
  for (const f of figureNames) {
    const { key, label, unit }: Figure = figures[f];
    const u = understand(texts[f], unit(texts));
    if (u.kind === "unclear") {
      faults.push({ field: f, message: `${label}: ${u.message}` });
    } else if (u.kind === "value") {
      read[key] = u.base;
    } else if (needed.includes(f)) {
      faults.push({ field: f, message: lacking[f] ?? `${label} is lacking.` });
    }
  }
  const { flow_m3s, fall_m, ...rest } = read;
  return faults.length > 0 || flow_m3s === undefined || fall_m === undefined
    ? { faults }
    : { body: { flow_m3s, fall_m, ...rest, wish, ...(texts.family ? { family: texts.family } : {}) } };
}

const lacking: Partial<Record<FigureField, string>> = {
  flow: "Say how much water you may take.",
  fall: "Say how far the water falls.",
  gauge: "Say which pressure is wanted.",
  air: "Say how much air is wanted.",
};

/** fieldOf finds the field that a pointer of the server means. */
export function fieldOf(pointer: string): string | undefined {
  const key = pointer.slice(1);
  return figureNames.find((f) => figures[f].key === key) ?? (["wish", "family"].includes(key) ? key : undefined);
}

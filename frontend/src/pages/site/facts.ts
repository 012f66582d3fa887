import type { Schema } from "../../api/client";
import type { Entry } from "../../parts/ErrorSummary/ErrorSummary";
import { otherThan, textFor, unitsIn, type Units, type Use } from "../../system";
import { withItsUnit } from "../../tolerance";
import { understand } from "../../typed";
import { show, unitNamed, type Unit } from "../../units";

type Site = Schema<"Site">;
type SiteFacts = Schema<"SiteFacts">;

/** The fields of the site form, as typed. flow_unit is the unit that a bare flow is in, units the system of the other bare numbers. */
export type SiteField = "name" | "source" | "fall" | "flow" | "flow_unit" | "units" | "gauged" | "static" | "t_water" | "t_air" | "altitude" | "note";
export type SiteTexts = Record<SiteField, string>;

/** The figures of the form: their name in the contract, their unit, and what they may be (the server's own limits). */
export interface Figure {
  key: "fall_m" | "flow_m3s" | "static_pa" | "t_water_c" | "t_air_c" | "altitude_m";
  label: string;
  low: number;
  high: number;
  unit: (texts: InForce) => Unit;
}

export const flowUnits = ["L/s", "L/min", "m³/h", "US gal/min", "ft³/s"].map((name) => unitNamed("flow", name));
const flowUnit = (texts: InForce) => flowUnits.find((u) => u.name === texts.flow_unit) ?? unitNamed("flow", "L/s");
const typed = (use: Use) => (texts: InForce) => unitsIn(texts.units).typed(use);

/** What says the units of the form's bare numbers. */
export type InForce = Pick<SiteTexts, "flow_unit" | "units">;

export const figureFields: Record<"fall" | "flow" | "static" | "t_water" | "t_air" | "altitude", Figure> = {
  fall: { key: "fall_m", label: "Fall", low: 0, high: 1000, unit: typed("level") },
  flow: { key: "flow_m3s", label: "Flow", low: 0, high: 100, unit: flowUnit },
  static: { key: "static_pa", label: "Pressure of the standing water", low: 0, high: 2e6, unit: typed("pressure") },
  t_water: { key: "t_water_c", label: "Water temperature", low: 0.5, high: 45, unit: typed("temperature") },
  t_air: { key: "t_air_c", label: "Air temperature", low: -30, high: 50, unit: typed("temperature") },
  altitude: { key: "altitude_m", label: "Height above the sea", low: -430, high: 5000, unit: typed("level") },
};
export type FigureField = keyof typeof figureFields;
export const figureNames = Object.keys(figureFields) as FigureField[];

/** The names of all fields, for comparing. */
export const fieldNames: Record<SiteField, string> = {
  name: "Name of the place",
  source: "Where the water comes from",
  fall: "Fall",
  flow: "Flow",
  flow_unit: "Unit of the flow",
  units: "Units",
  gauged: "How and when it was gauged",
  static: "Pressure of the standing water",
  t_water: "Water temperature",
  t_air: "Air temperature",
  altitude: "Height above the sea",
  note: "Note",
};

/** textsOf writes a site the way it would be typed in the units of other texts. */
export function textsOf(site: Site, { flow_unit, units }: InForce): SiteTexts {
  const texts: SiteTexts = {
    ...{ name: site.name, source: site.source ?? "", gauged: site.gauged, note: site.note },
    ...{ flow_unit, units, fall: "", flow: "", static: "", t_water: "", t_air: "", altitude: "" },
  };
  for (const f of figureNames) {
    const kept = site[figureFields[f].key];
    const other = { flow_unit, units: otherThan(unitsIn(units)).system };
    texts[f] = kept === null ? "" : textFor(kept, figureFields[f].unit(texts), figureFields[f].unit(other));
  }
  return texts;
}

/** inUnits goes on with a draft under another system: bare numbers get the unit that they were typed in. */
export function inUnits(texts: Record<string, string>, units: Units): Record<string, string> {
  const was = { flow_unit: texts["flow_unit"] ?? "L/s", units: texts["units"] ?? "metric" };
  const named = figureNames.filter((f) => figureFields[f].unit(was).name !== figureFields[f].unit({ ...was, units: units.system }).name);
  return { ...texts, ...Object.fromEntries(named.map((f) => [f, withItsUnit(texts[f] ?? "", figureFields[f].unit(was))])), units: units.system };
}

/**
 * factsOf reads the form. A figure whose text was not touched keeps the very
 * value it came from, so that opening and saving changes nothing.
 */
export function factsOf(texts: SiteTexts, start: SiteTexts, site: Site): { facts: SiteFacts } | { faults: Entry[] } {
  const faults: Entry[] = [];
  const figures: Record<Figure["key"], number | null> = {
    ...{ fall_m: null, flow_m3s: null, static_pa: null },
    ...{ t_water_c: null, t_air_c: null, altitude_m: null },
  };
  for (const f of figureNames) {
    const { key, unit } = figureFields[f];
    const untouched = texts[f] === start[f] && unit(texts).name === unit(start).name;
    const read = untouched ? site[key] : readFigure(f, texts);
    if (typeof read === "string") {
      faults.push({ field: f, message: read });
    } else {
      figures[key] = read;
    }
  }
  const words = { name: texts.name, gauged: texts.gauged, note: texts.note };
  return faults.length > 0 ? { faults } : { facts: { ...words, ...figures, source: sourceOf(texts.source) } };
}

/** readFigure gives the value in the contract's unit, null for an empty field, or what is wrong with it. */
export function readFigure(field: FigureField, texts: SiteTexts): number | null | string {
  const { label, low, high, unit } = figureFields[field];
  const in_ = unit(texts);
  const u = understand(texts[field], in_);
  if (u.kind === "empty") {
    return null;
  }
  if (u.kind === "unclear") {
    return `${label}: ${u.message}`;
  }
  if (u.base < low || u.base > high) {
    return `${label}: ${show(u.base, in_, 6)} can’t be right. It lies between ${show(low, in_, 6)} and ${show(high, in_, 6)}; leave it empty if it is not known.`;
  }
  return u.base;
}

const sources = ["stream", "hose", "mains", "roof", "tank"] as const;
export type Source = (typeof sources)[number];

/** sourceOf reads the choice; null while none is made. */
export function sourceOf(text: string): Source | null {
  return sources.find((s) => s === text) ?? null;
}

/** fieldOf finds the field that a pointer of the server means. */
export function fieldOf(pointer: string): string | undefined {
  const key = pointer.replace(/^\//, "");
  return figureNames.find((f) => figureFields[f].key === key) ?? ["name", "source", "gauged", "note"].find((f) => f === key);
}

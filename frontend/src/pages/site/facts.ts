import type { Schema } from "../../api/client";
import type { Entry } from "../../parts/ErrorSummary/ErrorSummary";
import { understand } from "../../typed";
import { asTyped, show, unitNamed, type Unit } from "../../units";

type Site = Schema<"Site">;
type SiteFacts = Schema<"SiteFacts">;

/** The fields of the site form, as typed. flow_unit is the unit that a bare flow is in. */
export type SiteField = "name" | "source" | "fall" | "flow" | "flow_unit" | "gauged" | "static" | "t_water" | "t_air" | "altitude" | "note";
export type SiteTexts = Record<SiteField, string>;

/** The figures of the form: their name in the contract, their unit, and what they may be (the server's own limits). */
export interface Figure {
  key: "fall_m" | "flow_m3s" | "static_pa" | "t_water_c" | "t_air_c" | "altitude_m";
  label: string;
  low: number;
  high: number;
  unit: (texts: SiteTexts) => Unit;
}

export const flowUnits = ["L/s", "L/min", "m³/h"].map((name) => unitNamed("flow", name));
const flowUnit = (texts: SiteTexts) => flowUnits.find((u) => u.name === texts.flow_unit) ?? unitNamed("flow", "L/s");
const m = unitNamed("length", "m");
const bar = unitNamed("pressure", "bar");
const degC = unitNamed("temperature", "°C");

export const figureFields: Record<"fall" | "flow" | "static" | "t_water" | "t_air" | "altitude", Figure> = {
  fall: { key: "fall_m", label: "Fall", low: 0, high: 1000, unit: () => m },
  flow: { key: "flow_m3s", label: "Flow", low: 0, high: 100, unit: flowUnit },
  static: { key: "static_pa", label: "Pressure of the standing water", low: 0, high: 2e6, unit: () => bar },
  t_water: { key: "t_water_c", label: "Water temperature", low: 0, high: 40, unit: () => degC },
  t_air: { key: "t_air_c", label: "Air temperature", low: -40, high: 60, unit: () => degC },
  altitude: { key: "altitude_m", label: "Height above the sea", low: -430, high: 5000, unit: () => m },
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
  gauged: "How and when it was gauged",
  static: "Pressure of the standing water",
  t_water: "Water temperature",
  t_air: "Air temperature",
  altitude: "Height above the sea",
  note: "Note",
};

/** textsOf writes a site the way it would be typed. */
export function textsOf(site: Site, flow_unit: string): SiteTexts {
  const texts: SiteTexts = {
    ...{ name: site.name, source: site.source ?? "", gauged: site.gauged, note: site.note },
    ...{ flow_unit, fall: "", flow: "", static: "", t_water: "", t_air: "", altitude: "" },
  };
  for (const f of figureNames) {
    texts[f] = asTyped(site[figureFields[f].key], figureFields[f].unit(texts));
  }
  return texts;
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

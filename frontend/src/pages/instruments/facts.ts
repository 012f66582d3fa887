import type { Schema } from "../../api/client";
import type { Texts } from "../../forms/form";
import type { Entry } from "../../parts/ErrorSummary/ErrorSummary";
import { unitsIn, type Units, type Use } from "../../system";
import { understand } from "../../typed";
import { asTyped, figures, fromBase, spanOf, unitNamed, withUnit, type Unit } from "../../units";

export type Instrument = Schema<"Instrument">;
export type Facts = Schema<"InstrumentFacts">;
export type Kind = Facts["kind"];

const plain = unitNamed("number", "");
const seconds = unitNamed("time", "s");

/** A kind: its words, the unit that the server keeps its figures in, and how they are typed; a text of its own where nobody can know. */
interface KindWords {
  name: string;
  kept: string;
  typed: Use | Unit | null;
}

export const kinds: Record<Kind, KindWords> = {
  pressure_gauge: { name: "Pressure gauge", kept: "Pa", typed: "pressure" },
  water_manometer: { name: "Water manometer", kept: "m", typed: "length" },
  barometer: { name: "Barometer", kept: "Pa", typed: "pressure" },
  thermometer: { name: "Thermometer", kept: "°C", typed: "temperature" },
  flow_meter: { name: "Flow meter for water", kept: "m³/s", typed: "flow" },
  air_flow_meter: { name: "Flow meter for air", kept: "m³/s", typed: "free_air" },
  measuring_vessel: { name: "Bucket or measuring vessel", kept: "m³", typed: "volume" },
  timer: { name: "Stopwatch", kept: "s", typed: seconds },
  length_measure: { name: "Tape, rule or level", kept: "m", typed: "length" },
  oxygen_meter: { name: "Oxygen meter", kept: "%", typed: { ...plain, name: "%" } },
  sound_meter: { name: "Sound level meter", kept: "dB", typed: { ...plain, name: "dB" } },
  logger: { name: "Logger", kept: "", typed: null },
  other: { name: "Something else", kept: "", typed: null },
};

export const isKind = (text: string): text is Kind => text in kinds;

/** unitOf is the unit in which figures of a kind are typed and shown. */
export function unitOf(kind: string, own: string, units: Units): Unit {
  const typed = isKind(kind) ? kinds[kind].typed : null;
  return typed === null ? { ...plain, name: own } : typeof typed === "string" ? units.typed(typed) : typed;
}

/** range writes what an instrument measures. */
export function range(f: Facts, units: Units): string {
  const unit = unitOf(f.kind, f.unit, units);
  return `${figures(fromBase(f.range_low, unit))} to ${withUnit(figures(fromBase(f.range_high, unit)), unit)}`;
}

/** accuracy writes how far it may be off, as far as that is known. */
export function accuracy(f: Facts, units: Units): string {
  const unit = spanOf(unitOf(f.kind, f.unit, units));
  const said = [f.class_pct === null ? "" : `class ${figures(f.class_pct)}`, f.accuracy === null ? "" : `± ${withUnit(figures(fromBase(f.accuracy, unit)), unit)}`];
  return said.filter(Boolean).join(", ") || "not known";
}

/** The fields of the form, as typed; units is the system of bare numbers. */
export type Field = "name" | "kind" | "serial" | "unit" | "low" | "high" | "resolution" | "class_pct" | "accuracy" | "interval_days" | "note" | "units" | "calibrated_on" | "calibration";
export type FieldTexts = Texts<Field>;

export const names: Record<Field, string> = {
  name: "Name",
  kind: "What it is",
  serial: "Serial number or mark",
  unit: "Unit of its figures",
  low: "Range from",
  high: "Range to",
  resolution: "Finest division",
  class_pct: "Accuracy class",
  accuracy: "Accurate within",
  interval_days: "A calibration counts",
  note: "Note",
  units: "Units",
  calibrated_on: "Calibrated on",
  calibration: "By whom, against what",
};

export function emptyTexts(system: string): FieldTexts {
  return {
    ...{ name: "", kind: "pressure_gauge", serial: "", unit: "", low: "0", high: "", resolution: "", class_pct: "", accuracy: "" },
    ...{ interval_days: "365", note: "", units: system, calibrated_on: "", calibration: "" },
  };
}

/** textsOf writes an instrument the way it would be typed. */
export function textsOf(f: Facts, system: string): FieldTexts {
  const unit = unitOf(f.kind, f.unit, unitsIn(system));
  return {
    ...emptyTexts(system),
    ...{ name: f.name, kind: f.kind, serial: f.serial, unit: f.unit, note: f.note, interval_days: String(f.interval_days) },
    ...{ low: asTyped(f.range_low, unit), high: asTyped(f.range_high, unit) },
    ...{ resolution: asTyped(f.resolution, spanOf(unit)), class_pct: asTyped(f.class_pct, plain), accuracy: asTyped(f.accuracy, spanOf(unit)) },
  };
}

/** factsOf reads the form. */
export function factsOf(texts: FieldTexts): { facts: Facts } | { faults: Entry[] } {
  const faults: Entry[] = [];
  const unit = unitOf(texts.kind, texts.unit.trim(), unitsIn(texts.units));
  const read = (field: Field, of: Unit): number | null => {
    const u = understand(texts[field], of);
    if (u.kind === "unclear") {
      faults.push({ field, message: `${names[field]}: ${u.message}` });
    }
    return u.kind === "value" ? u.base : null;
  };
  const needed = (field: Field, of: Unit): number => {
    const v = read(field, of);
    if (v === null && faults.every((f) => f.field !== field)) {
      faults.push({ field, message: `${names[field]}: type a number.` });
    }
    return v ?? 0;
  };
  const kind = isKind(texts.kind) ? texts.kind : "other";
  const days = needed("interval_days", plain);
  if (!Number.isInteger(days)) {
    faults.push({ field: "interval_days", message: "A calibration counts: type a whole number of days." });
  }
  const facts: Facts = {
    ...{ name: texts.name.trim(), kind, serial: texts.serial.trim(), unit: kinds[kind].kept || texts.unit.trim(), range_low: needed("low", unit), range_high: needed("high", unit) },
    ...{ resolution: read("resolution", spanOf(unit)), class_pct: read("class_pct", plain), accuracy: read("accuracy", spanOf(unit)), interval_days: days, note: texts.note },
  };
  return faults.length > 0 ? { faults } : { facts };
}

const fields: Record<string, Field> = { range_low: "low", range_high: "high" };

/** fieldOf finds the field that a pointer of the server means. */
export function fieldOf(pointer: string): string | undefined {
  const name = /^\/(?:facts\/)?(\w+)$/.exec(pointer)?.[1];
  return name === undefined ? undefined : (fields[name] ?? name);
}

/** state says in a word how an instrument stands. */
export function state(i: Instrument): { word: string; danger: boolean } {
  if (i.retired) {
    return { word: "retired", danger: false };
  }
  if (i.found_wrong) {
    return { word: "found wrong", danger: true };
  }
  if (i.calibrated_on === null) {
    return { word: "never calibrated", danger: true };
  }
  return i.overdue ? { word: "overdue", danger: true } : { word: "calibrated", danger: false };
}

/** dayWords writes a date of the group's calendar, which has no time and no zone. */
export function dayWords(date: string): string {
  return new Date(`${date}T12:00:00Z`).toLocaleDateString("en-GB", { day: "numeric", month: "short", year: "numeric", timeZone: "UTC" }).replaceAll(" ", "\u00a0");
}

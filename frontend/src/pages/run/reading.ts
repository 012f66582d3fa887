/**
 * What is typed of one reading, as texts, and the reading that they make. The
 * values stand one on a line; what the method asks besides stands under the
 * pointer of its field.
 */
import type { Schema } from "../../api/client";
import type { Entry } from "../../parts/ErrorSummary/ErrorSummary";
import type { Units } from "../../system";
import { understand } from "../../typed";
import { fromBase, spanOf, spanToBase, type Unit } from "../../units";
import { idOf, inputOf, labelOf, textsOf } from "../reckoner/form";
import type { CalcField } from "../reckoner/measure";
import type { Measurable, Method, Reading } from "./fetch";
import { keptIn, unitsOf, usualUnit } from "./measure";

export type Texts = Record<string, string>;

type Recording = Schema<"RecordReading">;

/** A reading takes so many values. */
const most_values = 1000;

/** methodsOf are the ways in which something is read: the usual one first, a judgement last. */
export function methodsOf(m: Measurable, all: Method[]): Method[] {
  const own = all.filter((w) => w.of?.includes(m.name));
  return m.name.startsWith("/") ? [...own, ...all.filter((w) => (w.of ?? []).length === 0)] : own;
}

/** methodIn is the way that is chosen. */
export const methodIn = (m: Measurable, all: Method[], texts: Texts): Method | null => {
  const own = methodsOf(m, all);
  return own.find((w) => w.name === texts["method"]) ?? own[0] ?? null;
};

/** unitIn is the unit that is chosen for bare numbers. */
export function unitIn(m: Measurable, method: Method | null, texts: Texts, units: Units): Unit {
  return unitsOf(keptIn(m, method)).find((u) => u.name === texts["unit"]) ?? usualUnit(m, method, units);
}

/** isOfValue tells a field that is a width in the unit of the value itself. */
export const isOfValue = (f: CalcField) => /in the unit of the value/.test(f.about);

/** extrasOf are the fields that a method asks besides the values; what is counted 0 or 1 is asked as no or yes. */
export function extrasOf(method: Method | null): CalcField[] {
  return (method?.extra ?? []).map((f): CalcField => {
    if (f.kind !== "count" || f.low !== 0 || f.high !== 1) {
      return f;
    }
    return { at: f.at, kind: "flag", about: f.about.replace(/^1: /, ""), ...(f.default === undefined ? {} : { default: f.default === "0" ? "false" : "true" }), ...(f.required ? { required: true } : {}) };
  });
}

/** unitsWith are the units of the member, but for what is of the kind of the values: that is typed in the unit that they are. */
export function unitsWith(units: Units, chosen: Unit): Units {
  const typed: Units["typed"] = (use) => {
    const own = units.typed(use);
    return own.quantity === chosen.quantity && chosen.quantity !== "number" ? chosen : own;
  };
  return { ...units, typed };
}

/** linesOf are the values that are typed, one on a line, with the one that is not added yet. */
export const linesOf = (texts: Texts): string[] => [...(texts["values"] ?? "").split(/[\n;]/), texts["next"] ?? ""].map((t) => t.trim()).filter(Boolean);

/** missing is a value that was not read, as people write it down. */
const missing = /^[-–—?]$/;

/** What one text is taken for: a value as the notebook keeps it, null where none was read, or why it is not understood. */
export type Read = { value: number | null } | { fault: string };

/** readValue reads one value. */
export function readValue(text: string, unit: Unit, kept: Unit): Read {
  if (missing.test(text.trim())) {
    return { value: null };
  }
  const u = understand(text, unit);
  if (u.kind !== "value") {
    return { fault: u.kind === "unclear" ? u.message : "Type a number." };
  }
  return { value: Number(fromBase(u.base, kept).toPrecision(12)) };
}

/** What a form makes of its texts: a reading, what is wrong with it, and what lacks without being wrong. */
export interface Made {
  reading: Omit<Recording, "client_key" | "device_at"> | null;
  faults: Entry[];
  /** What the method asks and nobody said: the reading is kept, and can't decide anything. */
  lacking: string[];
}

/** readingOf makes the reading. */
export function readingOf(m: Measurable, methods: Method[], texts: Texts, units: Units): Made {
  const method = methodIn(m, methods, texts);
  const unit = unitIn(m, method, texts, units);
  const kept = keptIn(m, method);
  const lines = linesOf(texts);
  const read = lines.map((t) => readValue(t, unit, kept));
  const faults: Entry[] = read.flatMap((r, i) => ("fault" in r ? [{ field: "reading-values", message: `Value ${i + 1}: ${r.fault}` }] : []));
  const values = read.map((r) => ("value" in r ? r.value : null));
  if (lines.length === 0 || (faults.length === 0 && values.every((v) => v === null))) {
    faults.push({ field: "reading-values", message: "Type at least one value that was read." });
  }
  if (lines.length > most_values) {
    faults.push({ field: "reading-values", message: `A reading takes ${most_values} values at most. A longer series comes from a logger.` });
  }
  const long = lines.findIndex((t) => t.length > 40);
  if (long >= 0) {
    faults.push({ field: "reading-values", message: `Value ${long + 1} is longer than a number can be. Put each value on a line of its own.` });
  }
  const instrument = texts["instrument"] ? Number(texts["instrument"]) : null;
  if (method && (method.instrument ?? []).length > 0 && instrument === null) {
    faults.push({ field: "reading-instrument", message: "Choose the instrument: without it nobody can say how far the reading may be off." });
  }
  const extra = extraOf(method, texts, units, unit);
  faults.push(...extra.faults);
  if (faults.length > 0 || method === null) {
    return { reading: null, faults, lacking: [] };
  }
  const withInstrument = (method.instrument ?? []).length > 0 ? instrument : null;
  const reading = { quantity: m.name, method: method.name, instrument: withInstrument, values, typed: { unit: unit.name, texts: lines }, extra: extra.values, ...(texts["reset"] === "yes" ? { reset: true } : {}) };
  return { reading, faults, lacking: extra.lacking };
}

/** extraOf reads what the method asks besides. */
function extraOf(method: Method | null, texts: Texts, units: Units, unit: Unit): { values: Record<string, number>; faults: Entry[]; lacking: string[] } {
  const fields = extrasOf(method);
  const { input, faults } = inputOf(fields.filter((f) => !isOfValue(f)), texts, unitsWith(units, unit));
  const values: Record<string, number> = {};
  for (const [name, v] of Object.entries(input)) {
    if (typeof v === "number" || typeof v === "boolean") {
      values[name] = Number(v);
    }
  }
  for (const f of fields.filter(isOfValue)) {
    const u = understand(texts[f.at] ?? "", spanOf(unit));
    if (u.kind === "value") {
      values[f.at.slice(1)] = Number(spanToBase(u.typed, u.unit).toPrecision(12));
    } else if (u.kind === "unclear") {
      faults.push({ field: f.at, message: u.message });
    }
  }
  const lacking = fields.filter((f) => f.required && !(f.at.slice(1) in values)).map((f) => labelOf(f).label);
  return { values, faults: faults.map((e) => ({ ...e, field: idOf(e.field ?? "") })), lacking };
}

/** startFrom is what stands in the form before anything is typed: the way, the instrument and the vessel of the last time. */
export function startFrom(m: Measurable, methods: Method[], before: Reading | undefined, units: Units): Texts {
  const method = methodsOf(m, methods).find((w) => w.name === before?.method);
  if (!before || !method) {
    return {};
  }
  const unit = unitsOf(keptIn(m, method)).find((u) => u.name === before.typed.unit) ?? usualUnit(m, method, units);
  const again = extrasOf(method).filter((f) => !isOfValue(f) && !/^\/zero_/.test(f.at)); // a zero is read anew each time
  const input = Object.fromEntries(again.map((f) => [f.at.slice(1), f.kind === "flag" ? before.extra[f.at.slice(1)] === 1 : before.extra[f.at.slice(1)]]));
  return { ...textsOf(again, input, unitsWith(units, unit)), method: method.name, unit: unit.name, instrument: before.instrument ? String(before.instrument.id) : "" };
}

/**
 * The sections of a sheet beside its trompe, as texts that a person types. They
 * are declared by the server (GET /api/v1/preview); lists such as uses become
 * fields with a number in their place. Start at textsOfRest and restOf.
 */
import type { Schema } from "../../api/client";
import type { Entry } from "../../parts/ErrorSummary/ErrorSummary";
import { otherThan, textFor, unitsIn, type Units } from "../../system";
import { understand } from "../../typed";
import { applies, labelOf, nameOf, put, same, unitOf, valueAt, type CalcField, type SheetTexts } from "./fields";

export type Section = Schema<"SheetFormSection">;

/** What a sheet may hold beside its trompe. */
export interface Rest {
  sections: Section[];
  inputs: CalcField[];
}

/** Which sections belong to which machine; the others belong to all. */
const machines: Record<string, string[]> = { ram: ["ram", "pulse"], lift: ["lift"], pulse: ["pulse"] };

/** The machine that the texts are about. */
export const machineOf = (texts: SheetTexts): string => texts["machine"] || "trompe";

/** hasTrompe tells whether a trompe is on the sheet: with a lift or a booster only where somebody said so. */
export const hasTrompe = (texts: SheetTexts): boolean => machineOf(texts) === "trompe" || (mayHaveTrompe(texts) && texts["trompe"] === "yes");
export const mayHaveTrompe = (texts: SheetTexts): boolean => ["lift", "pulse"].includes(machineOf(texts));

const groupOf = (at: string) => at.split("/")[1] ?? "";

/** belongs tells whether a group of fields has a meaning for the machine. */
export function belongs(group: string, texts: SheetTexts): boolean {
  return machines[group]?.includes(machineOf(texts)) ?? true;
}

export const countName = (at: string) => `${nameOf(at)}-count`;
export const openName = (at: string) => `${nameOf(at)}-open`;

/** entries is how many entries a list has. */
export const entries = (at: string, texts: SheetTexts): number => Number(texts[countName(at)] ?? "") || 0;

function within(prefix: string, f: CalcField): CalcField {
  return { ...f, at: prefix + f.at, ...(f.when ? { when: { ...f.when, at: prefix + f.when.at } } : {}) };
}

/** expand writes the fields of every entry of the lists out. */
export function expand(inputs: CalcField[], texts: SheetTexts): CalcField[] {
  return inputs.flatMap((f) =>
    f.kind === "records" ? Array.from({ length: entries(f.at, texts) }, (_, i) => (f.item ?? []).map((x) => within(`${f.at}/${i}`, x))).flat() : [f],
  );
}

/** textsOfRest writes the sections of a saved sheet as a person would type them. */
export function textsOfRest(inputs: CalcField[], input: unknown, units: Units): SheetTexts {
  const texts: SheetTexts = {};
  for (const f of inputs.filter((x) => x.kind === "records")) {
    const list = valueAt(input, f.at);
    texts[countName(f.at)] = Array.isArray(list) && list.length > 0 ? String(list.length) : "";
  }
  for (const f of expand(inputs, texts)) {
    texts[nameOf(f.at)] = textOf(f, valueAt(input, f.at), units);
  }
  return texts;
}

/** textOf writes a value as a person would type it. */
export function textOf(f: CalcField, v: unknown, units: Units): string {
  const write = (x: unknown) => (typeof x === "number" ? textFor(x, unitOf(f, units), unitOf(f, otherThan(units))) : "");
  if (Array.isArray(v)) {
    return v.map(write).join("; ");
  }
  return typeof v === "boolean" ? (v ? "yes" : "no") : typeof v === "string" ? v : write(v);
}

/** isOpen tells whether a section takes part: opened, or with something in it. */
export function isOpen(at: string, texts: SheetTexts): boolean {
  const name = nameOf(at);
  return texts[openName(at)] === "yes" || Object.entries(texts).some(([k, text]) => k.startsWith(`${name}-`) && text !== "" && k !== openName(at));
}

/** means tells whether a field takes part in what is calculated. */
function means(f: CalcField, all: CalcField[], sections: Section[], texts: SheetTexts): boolean {
  if (!belongs(groupOf(f.at), texts) || !applies(f, texts)) {
    return false;
  }
  const above = all.filter((g) => g.kind === "object" && f.at.startsWith(`${g.at}/`));
  return above.every((g) => applies(g, texts)) && sections.every((s) => !f.at.startsWith(`${s.at}/`) || s.at.startsWith("/uses/") || s.at === "/parts" || isOpen(s.at, texts));
}

/** restOf makes the sections of the input from what was typed, and lists what could not be read. */
export function restOf({ inputs, sections }: Rest, texts: SheetTexts): { input: Record<string, unknown>; faults: Entry[] } {
  const input: Record<string, unknown> = {};
  const faults: Entry[] = [];
  const all = expand(inputs, texts);
  for (const f of all.filter((x) => x.kind !== "object" && means(x, all, sections, texts))) {
    const text = (texts[nameOf(f.at)] ?? "").trim();
    if (text === "") {
      continue;
    }
    const read = readText(f, text, unitsIn(texts["units"]));
    if (typeof read === "object" && "fault" in read) {
      faults.push({ field: nameOf(f.at), message: `${labelOf(f)}: ${read.fault}` });
    } else {
      put(input, f.at, read);
    }
  }
  for (const f of inputs.filter((x) => x.kind === "records")) {
    const list = valueAt(input, f.at);
    if (Array.isArray(list)) {
      // An empty entry before a filled one keeps its place, so that faults point to the right one.
      put(input, f.at, Array.from(list as unknown[], (entry) => entry ?? {}));
    }
  }
  if (input["machine"] === "trompe") {
    delete input["machine"]; // as in sheets from before there was more than a trompe
  }
  return { input, faults };
}

type Read = string | boolean | number | number[] | { fault: string };

function readText(f: CalcField, text: string, units: Units): Read {
  switch (f.kind) {
    case "choice":
    case "text":
      return text;
    case "flag":
      return text === "yes";
    case "numbers": {
      const each = text.split(text.includes(";") ? ";" : /\s+/).map((t) => t.trim()).filter(Boolean).map((t) => readNumber(f, t, units));
      const bad = each.find((x) => typeof x === "object");
      return bad ?? each.filter((x) => typeof x === "number");
    }
    default:
      return readNumber(f, text, units);
  }
}

function readNumber(f: CalcField, text: string, units: Units): number | { fault: string } {
  const u = understand(text, unitOf(f, units));
  return u.kind === "value" ? Number(u.base.toPrecision(12)) : { fault: u.kind === "unclear" ? u.message : "nothing stands here." };
}

/** without takes one entry out of a list: those after it move up. */
export function without(at: string, i: number, texts: SheetTexts): SheetTexts {
  const name = nameOf(at);
  const n = entries(at, texts);
  const kept: SheetTexts = { [countName(at)]: n > 1 ? String(n - 1) : "" };
  for (const key of Object.keys(texts)) {
    const [, index, rest] = new RegExp(`^${name}-(\\d+)-(.*)$`).exec(key) ?? [];
    if (index !== undefined && rest !== undefined && Number(index) >= i) {
      kept[key] = texts[`${name}-${Number(index) + 1}-${rest}`] ?? "";
    }
    if (index !== undefined && rest !== undefined && Number(index) > i) {
      kept[`${name}-${Number(index) - 1}-${rest}`] = texts[key] ?? ""; // the one before may never have had this field
    }
  }
  return kept;
}

/** sameSheet compares two inputs of whole sheets; a section without anything is none. */
export function sameSheet(a: unknown, b: unknown): boolean {
  return same(lean(a), lean(b));
}

function lean(v: unknown): unknown {
  if (Array.isArray(v)) {
    return v.map(lean);
  }
  if (typeof v !== "object" || v === null) {
    return v;
  }
  const kept = Object.entries(v).map(([k, x]) => [k, lean(x)] as const).filter(([, x]) => x !== null && x !== undefined && !(typeof x === "object" && !Array.isArray(x) && Object.keys(x).length === 0) && !(Array.isArray(x) && x.length === 0));
  return Object.fromEntries(kept);
}

/** What a new section begins with where a builder has said nothing yet: figures of our own that work. */
const begins: Record<string, SheetTexts> = {
  ram: { "source-kind": "stream", "source-fall_m": "3 m", "source-flow_m3s": "90 L/min", "ram-cycle-h": "15 m", "ram-cycle-L": "12 m", "ram-cycle-D": "53 mm", "ram-cycle-wall": "3.6 mm", "ram-cycle-E_wall": "210 GPa" },
  lift: { "source-kind": "stream", "source-fall_m": "3 m", "source-flow_m3s": "300 L/min", "lift-h_feed": "8 m", "lift-h_outlet": "5 m" },
  pulse: {
    ...{ "source-kind": "stream", "source-fall_m": "3 m", "source-flow_m3s": "90 L/min", "ram-cycle-h": "20 m", "ram-cycle-L": "12 m", "ram-cycle-D": "53 mm", "ram-cycle-wall": "3.6 mm", "ram-cycle-E_wall": "210 GPa" },
    ...{ "pulse-p_trompe_gauge": "0.5 bar", "pulse-p2_gauge": "2 bar", "pulse-stroke_volume": "0.117 L", "pulse-clearance_volume": "0.012 L" },
  },
};

/** beginning are the texts that a machine of another kind begins with, where nothing was typed for it yet. */
export function beginning(machine: string, texts: SheetTexts): SheetTexts {
  return Object.fromEntries(Object.entries(begins[machine] ?? {}).filter(([name]) => !texts[name]));
}

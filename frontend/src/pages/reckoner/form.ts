/**
 * The texts of a reckoner page and the input that they make. A text stands under
 * the JSON Pointer of its field; under that of a list of objects stands how many
 * there are, and each of them has its fields under the pointer of its place.
 */
import type { Entry } from "../../parts/ErrorSummary/ErrorSummary";
import { otherThan, textFor, type Units } from "../../system";
import { understand } from "../../typed";
import { fromBase, toBase } from "../../units";
import { put, valueAt } from "../sheet/fields";
import { declared, typedIn, type CalcField } from "./measure";

export type Texts = Record<string, string>;
type Group = Record<string, unknown>;

/** The choice of an own object where names are offered too. */
export const ownWords = "own";

/** idOf is the id of the control of a field, at its pointer. */
export const idOf = (at: string) => `in${at.replaceAll("/", "-")}`;

/** rowsOf is how many entries a list of objects has. */
export const rowsOf = (f: CalcField, texts: Texts) => Number(texts[f.at] ?? 1);

/** entryOf is the fields of one entry of a list of objects, at their full pointers. */
export const entryOf = (f: CalcField, i: number): CalcField[] => (f.item ?? []).map((x) => ({ ...x, at: `${f.at}/${i}${x.at}` }));

/** applies says whether a field is asked for with the choices made. */
export function applies(f: CalcField, texts: Texts, all: CalcField[]): boolean {
  const above = all.find((x) => x.kind === "any" && f.at.startsWith(`${x.at}/`));
  return (!above || texts[above.at] === ownWords) && (!f.when || f.when.is.includes(texts[f.when.at] || (f.when.else ?? "")));
}

/** labelOf parts what a field is about into a label and what is said below it. */
export function labelOf(f: CalcField): { label: string; hint: string } {
  const [, head = f.about, tail = ""] = /^(.{3,}?)[:;] (.+)$/.exec(f.about) ?? [];
  return { label: sentence(head), hint: tail && `${sentence(tail)}.` };
}

/** sentence begins with a capital, as long as the word is no symbol. */
export const sentence = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

/** inputOf makes the input from what was typed, and lists what could not be read. */
export function inputOf(fields: CalcField[], texts: Texts, units: Units): { input: Group; faults: Entry[] } {
  const input: Group = {};
  const faults: Entry[] = [];
  for (const f of fields.filter((x) => applies(x, texts, fields))) {
    if (f.kind === "records") {
      const made = Array.from({ length: rowsOf(f, texts) }, (_, i) => inputOf(entryOf(f, i), texts, units));
      const rows = made.map((m, i) => valueAt(m.input, `${f.at}/${i}`) ?? {});
      faults.push(...made.flatMap((m) => m.faults));
      put(input, f.at, rows.every((r) => Object.keys(r).length === 0) ? undefined : rows);
      continue;
    }
    const { value, fault } = valueOf(f, (texts[f.at] ?? "").trim(), units);
    put(input, f.at, value);
    if (fault !== undefined) {
      faults.push({ field: f.at, message: fault });
    }
  }
  return { input, faults };
}

/** valueOf is what one text stands for; nothing for an empty one and for an object, which its fields make. */
function valueOf(f: CalcField, text: string, units: Units): { value?: unknown; fault?: string } {
  if (text === "" || f.kind === "object" || (f.kind === "any" && text === ownWords)) {
    return {};
  }
  switch (f.kind) {
    case "flag":
      return { value: text === "true" };
    case "number":
    case "count":
      return number(f, text, units);
    case "numbers":
      return numbers(f, text, units);
    case "texts":
      return { value: text.split(/[,;]/).map((t) => t.trim()).filter(Boolean) };
    default:
      return { value: text };
  }
}

function number(f: CalcField, text: string, units: Units): { value?: number; fault?: string } {
  const u = understand(text, typedIn(f, units));
  return u.kind === "value" ? { value: inDeclared(u.base, f) } : { fault: u.kind === "unclear" ? u.message : "" };
}

/** numbers reads "12.1 11.8 12.4": a list in the unit of the field, parted by spaces or semicolons. */
function numbers(f: CalcField, text: string, units: Units): { value?: number[]; fault?: string } {
  const read = text.split(/[\s;]+/).filter(Boolean).map((t) => number(f, t, units));
  const fault = read.find((r) => r.fault !== undefined)?.fault;
  return fault === undefined ? { value: read.flatMap((r) => r.value ?? []) } : { fault: `${fault} Put a space or a semicolon between the numbers.` };
}

/** Twelve figures are what is kept of what was typed. */
const inDeclared = (base: number, f: CalcField) => Number(fromBase(base, declared(f)).toPrecision(12));

/** textsOf writes an input as a person would type it. */
export function textsOf(fields: CalcField[], input: unknown, units: Units): Texts {
  const texts: Texts = {};
  for (const f of fields) {
    const v = valueAt(input, f.at);
    if (f.kind === "records" && Array.isArray(v)) {
      texts[f.at] = String(Math.max(1, v.length));
      v.forEach((entry, i) => {
        const own = textsOf(f.item ?? [], entry, units);
        Object.entries(own).forEach(([at, text]) => (texts[`${f.at}/${i}${at}`] = text));
      });
    } else if (Array.isArray(v)) {
      texts[f.at] = v.map((x) => oneText(f, x, units)).join(f.kind === "numbers" ? " " : ", ");
    } else if (f.kind === "any" && isGroup(v)) {
      texts[f.at] = ownWords;
    } else if (f.kind !== "object" && v !== undefined && v !== null) {
      texts[f.at] = oneText(f, v, units);
    }
  }
  return texts;
}

function oneText(f: CalcField, v: unknown, units: Units): string {
  if (typeof v !== "number") {
    return typeof v === "string" || typeof v === "boolean" ? String(v) : "";
  }
  const own = typedIn(f, units);
  if (own.quantity !== "number" && (Math.abs(v) >= 1e8 || Math.abs(v) < 1e-4) && v !== 0 && own.name === declared(f).name) {
    return v.toExponential().replace("+", ""); // as moduli and roughness stand in tables
  }
  // Numbers of a list are parted by spaces, so none can have a unit of its own.
  return textFor(base(f, v), own, f.kind === "numbers" ? own : typedIn(f, otherThan(units)));
}

/** base is a value of the calculation in the base unit of its quantity. */
export const base = (f: CalcField, value: number) => toBase(value, declared(f));

const isGroup = (v: unknown): v is Group => typeof v === "object" && v !== null && !Array.isArray(v);

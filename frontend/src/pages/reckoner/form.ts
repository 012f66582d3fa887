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

/** entryOf is the fields of one entry of a list of objects, they and what they hang on at full pointers. */
export function entryOf(f: CalcField, i: number): CalcField[] {
  const full = (at: string) => `${f.at}/${i}${at}`;
  return (f.item ?? []).map((x) => ({
    ...x,
    at: full(x.at),
    ...(x.when ? { when: { ...x.when, at: full(x.when.at) } } : {}),
    ...(x.or ? { or: x.or.map(full) } : {}),
    ...(x.with ? { with: x.with.map(full) } : {}),
  }));
}

const several = new Set<CalcField["kind"]>(["numbers", "texts", "rows", "numbers_or_rows", "number_or_numbers"]);

/** controlOf is the control that a fault belongs to: of one number of a list or of rows the whole field, with its place in words. */
export function controlOf(fields: CalcField[], at: string): { at: string; place: string } {
  const entries = fields.filter((f) => f.kind === "records" && at.startsWith(`${f.at}/`)).flatMap((f) => entryOf(f, parseInt(at.slice(f.at.length + 1))));
  const control = [...fields, ...entries].find((f) => several.has(f.kind) && at.startsWith(`${f.at}/`));
  if (!control) {
    return { at, place: "" };
  }
  const [first = 0, second] = at.slice(control.at.length + 1).split("/").map((i) => Number(i) + 1);
  return { at: control.at, place: second === undefined ? `Number ${first}: ` : `Row ${first}, number ${second}: ` };
}

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
      put(input, f.at, rows.length > 0 && rows.every((r) => Object.keys(r).length === 0) ? undefined : rows);
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
    case "rows":
    case "numbers_or_rows":
    case "number_or_numbers":
      return severalKinds(f, text, units);
    case "texts":
      return { value: text.split(/[,;]/).map((t) => t.trim()).filter(Boolean) };
    default:
      return { value: text };
  }
}

/** missing is a reading that was not taken, as people write it down. */
const missing = /^([-–—?]|nan)$/i;

const infinite = /^(∞|inf|infinite)$/i;

function number(f: CalcField, text: string, units: Units): { value?: number | string | null; fault?: string } {
  if (f.infinite && infinite.test(text)) {
    return { value: "inf" };
  }
  if (f.gaps && missing.test(text)) {
    return { value: null };
  }
  const u = understand(text, typedIn(f, units));
  return u.kind === "value" ? { value: inDeclared(u.base, f) } : { fault: u.kind === "unclear" ? u.message : "" };
}

/** numbers reads "12.1 11.8 12.4": a list in the unit of the field, parted by spaces or semicolons. */
function numbers(f: CalcField, text: string, units: Units): { value?: unknown[]; fault?: string } {
  const read = text.split(/[\s;]+/).filter(Boolean).map((t) => number(f, t, units));
  const fault = read.find((r) => r.fault !== undefined)?.fault;
  return fault === undefined ? { value: read.map((r) => r.value) } : { fault: `${fault} Put a space or a semicolon between the numbers.` };
}

/** severalKinds reads rows, a line each, or where these may stand one line as a list, or one number alone. */
function severalKinds(f: CalcField, text: string, units: Units): { value?: unknown; fault?: string } {
  const read = text.split("\n").filter((line) => line.trim() !== "").map((line) => numbers(f, line, units));
  const fault = read.find((r) => r.fault !== undefined)?.fault;
  if (fault !== undefined) {
    return { fault };
  }
  const rows = read.map((r) => r.value ?? []);
  const list = rows.flat();
  if (f.kind === "number_or_numbers") {
    return { value: list.length === 1 ? list[0] : list };
  }
  return { value: f.kind === "rows" || rows.length > 1 ? rows : list };
}

/** Twelve figures are what is kept of what was typed. */
const inDeclared = (base: number, f: CalcField) => Number(fromBase(base, declared(f)).toPrecision(12));

/** textsOf writes an input as a person would type it. */
export function textsOf(fields: CalcField[], input: unknown, units: Units): Texts {
  const texts: Texts = {};
  for (const f of fields) {
    const v = valueAt(input, f.at);
    if (f.kind === "records" && Array.isArray(v)) {
      texts[f.at] = String(Math.max(f.empty ? 0 : 1, v.length));
      v.forEach((entry, i) => {
        const own = textsOf(f.item ?? [], entry, units);
        Object.entries(own).forEach(([at, text]) => (texts[`${f.at}/${i}${at}`] = text));
      });
    } else if (Array.isArray(v)) {
      const rows = v.some(Array.isArray);
      texts[f.at] = v.map((x) => (Array.isArray(x) ? x.map((y) => oneText(f, y, units)).join(" ") : oneText(f, x, units))).join(rows ? "\n" : f.kind === "texts" ? ", " : " ");
    } else if (f.kind === "any" && isGroup(v)) {
      texts[f.at] = ownWords;
    } else if (f.kind !== "object" && v !== undefined && v !== null) {
      texts[f.at] = oneText(f, v, units);
    }
  }
  return texts;
}

function oneText(f: CalcField, v: unknown, units: Units): string {
  if (v === null) {
    return "–";
  }
  if (typeof v !== "number") {
    return typeof v === "string" || typeof v === "boolean" ? String(v) : "";
  }
  const own = typedIn(f, units);
  if (own.quantity !== "number" && (Math.abs(v) >= 1e8 || Math.abs(v) < 1e-4) && v !== 0 && own.name === declared(f).name) {
    return v.toExponential().replace("+", ""); // as moduli and roughness stand in tables
  }
  // Numbers of a list are parted by spaces, so none can have a unit of its own.
  return textFor(base(f, v), own, several.has(f.kind) ? own : typedIn(f, otherThan(units)));
}

/** base is a value of the calculation in the base unit of its quantity. */
export const base = (f: CalcField, value: number) => toBase(value, declared(f));

const isGroup = (v: unknown): v is Group => typeof v === "object" && v !== null && !Array.isArray(v);

/**
 * What is typed on an item, as texts by place ("p_test", "p_stages-1"), and the
 * values that are sent of it. The texts are the draft of the item.
 */
import type { Fault } from "../../api/problem";
import { understand } from "../../typed";
import { fromBase } from "../../units";
import type { TestField, TestItem } from "./fetch";
import { unitOf } from "./words";

export type Texts = Record<string, string>;

/** One thing to be typed, ticked or taken: a field, or one of the entries of a field that is repeated. */
export interface Place {
  key: string;
  field: TestField;
  entry: number;
}

/** A picture of an item: the number that the notebook gave it, once it has it. */
export interface Taken {
  place: string;
  id: number | null;
}

/** placesOf lists what an item asks, given what was chosen in it. */
export function placesOf(item: TestItem, texts: Texts): Place[] {
  const places: Place[] = [];
  for (const field of item.fields) {
    if (field.only_if && !field.only_if.values.includes(texts[field.only_if.choice] ?? "")) {
      continue;
    }
    field.entries.forEach((_, entry) => places.push({ key: field.repeats ? `${field.name}-${entry}` : field.name, field, entry }));
  }
  return places;
}

/** placeOf finds the place that a pointer of the notebook names: "/values/p_stages/1" is "p_stages-1". */
export function placeOf(pointer: string, item: TestItem): string | undefined {
  const [, name = "", of = ""] = /^\/values\/([^/]+)(?:\/(\d+))?/.exec(pointer) ?? [];
  const field = item.fields.find((f) => f.name === name);
  if (!field) {
    return item.asks.some((a) => a.name === name) ? `ask-${name}` : undefined;
  }
  return field.repeats ? `${name}-${of || "0"}` : name;
}

/** ticked counts the boxes that are ticked of several. */
export const ticked = (text: string | undefined) => (text ?? "").split(",").filter(Boolean);

/** namesIn reads names, one on each line. */
export const namesIn = (text: string | undefined) => (text ?? "").split("\n").map((n) => n.trim()).filter(Boolean);

type Read = { value: unknown } | { fault: string };

const missing = (fault: string): Read => ({ fault });

function confirmed({ confirm, ticks }: TestField, text: string): Read {
  if (ticks !== null) {
    const n = ticked(text).length;
    return n === ticks ? { value: n } : missing(`${n} of ${ticks} are ticked. Look at each one and tick it.`);
  }
  if (text !== "yes") {
    return missing("Tick this once it is so. If it can’t be so, say below that it can’t be met.");
  }
  return { value: confirm ?? true };
}

function reading(f: TestField, text: string): Read {
  const unit = unitOf(f.unit);
  const read = understand(text, unit);
  if (read.kind === "empty") {
    return missing("Not recorded yet.");
  }
  if (read.kind === "unclear") {
    return missing(read.message);
  }
  return { value: read.bare || read.unit.name === unit.name ? read.typed : Number(fromBase(read.base, unit).toPrecision(12)) };
}

function instrument(text: string, height: string): Read {
  if (text === "") {
    return missing("Choose the gauge from the register.");
  }
  const read = understand(height, unitOf("m"));
  if (read.kind === "unclear") {
    return missing(read.message);
  }
  return { value: { instrument: Number(text), ...(read.kind === "value" ? { height_m: read.base } : {}) } };
}

function pictures(place: string, taken: Taken[]): Read {
  const own = taken.filter((t) => t.place === place);
  const sent = own.flatMap((t) => (t.id === null ? [] : [t.id]));
  if (own.length === 0) {
    return missing("Take at least one picture.");
  }
  return sent.length === own.length ? { value: sent } : missing("The picture is not sent yet. It goes out as soon as there is a connection.");
}

function read({ key, field }: Place, texts: Texts, taken: Taken[]): Read {
  const text = texts[key] ?? "";
  if (field.kind === "photo") {
    return pictures(key, taken);
  }
  if (field.kind === "reading") {
    return reading(field, text);
  }
  if (field.kind === "instrument") {
    return instrument(text, texts[`${key}-height`] ?? "");
  }
  if (field.kind === "people") {
    const names = namesIn(text);
    return names.length > 0 ? { value: names } : missing("Write down who: at least one name.");
  }
  if (field.kind === "confirm" || field.confirm !== null) {
    return confirmed(field, text);
  }
  return text.trim() === "" ? missing(field.kind === "choice" ? "Choose one." : "Not recorded yet.") : { value: text.trim() };
}

/** valuesOf makes of what was typed what is sent; or all that is wrong with it, each with its place. */
export function valuesOf(item: TestItem, texts: Texts, taken: Taken[]): { values: Record<string, unknown> } | { faults: Fault[] } {
  const values: Record<string, unknown> = {};
  const faults: Fault[] = [];
  for (const place of placesOf(item, texts)) {
    const r = read(place, texts, taken);
    const { name, repeats } = place.field;
    if ("fault" in r) {
      faults.push({ pointer: `/values/${name}${repeats ? `/${place.entry}` : ""}`, code: "not_met", message: r.fault });
      continue;
    }
    if (repeats) {
      const list = (values[name] ??= []);
      if (Array.isArray(list)) {
        list.push(r.value);
      }
    } else {
      values[name] = r.value;
    }
  }
  for (const { name } of item.asks) {
    const answer = texts[`ask-${name}`];
    if (answer) {
      values[name] = answer === "yes";
    }
  }
  return faults.length > 0 ? { faults } : { values };
}

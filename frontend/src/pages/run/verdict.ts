/**
 * A verdict as it was frozen, whatever a later release makes of it: it is read
 * part by part, and what is not there is empty.
 */
import { listOf, numberOf, partOf, textOf } from "../test/given";

/** The verdict on one quantity at one point. */
export interface Item {
  /** From 0, among the points of the run. */
  point: number;
  name: string;
  required: boolean;
  y: number | null;
  predicted: number | null;
  low: number | null;
  high: number | null;
  /** The promise was declared when the run was opened. */
  declared: boolean;
  outcome: string;
  promisedLittle: boolean;
  words: string[];
  decides: string;
}

/** The verdict on a run. */
export interface Verdict {
  outcome: string;
  words: string;
  items: Item[];
  /** How likely as large a disagreement of all quantities together would be by chance; null for fewer than two. */
  joint: number | null;
  patterns: string[];
  why: string[];
  faults: { point: number; text: string }[];
  draws: number;
  failed: number;
  settled: boolean;
  set: string;
  calc: string;
}

const is = (v: unknown, name: string) => partOf(v, name) === true;
const textsOf = (v: unknown, name: string) => listOf(v, name).filter((t) => typeof t === "string");

/** verdictOf reads what was frozen. */
export function verdictOf(body: unknown): Verdict {
  return {
    outcome: textOf(body, "outcome", "outcome"),
    words: textOf(body, "outcome", "words"),
    items: listOf(body, "items").map(itemOf),
    joint: numberOf(body, "joint", "p"),
    patterns: textsOf(body, "patterns"),
    why: textsOf(body, "why"),
    faults: listOf(body, "faults").map((f) => ({ point: numberOf(f, "point") ?? 0, text: textOf(f, "text") })),
    draws: numberOf(body, "draws") ?? 0,
    failed: numberOf(body, "failed") ?? 0,
    settled: is(body, "settled"),
    set: textOf(body, "set"),
    calc: textOf(body, "calc_version"),
  };
}

function itemOf(i: unknown): Item {
  return {
    point: numberOf(i, "point") ?? 0,
    name: textOf(i, "name"),
    required: is(i, "required"),
    y: numberOf(i, "y"),
    predicted: numberOf(i, "predicted"),
    low: numberOf(i, "low"),
    high: numberOf(i, "high"),
    declared: is(i, "declared"),
    outcome: textOf(i, "outcome"),
    promisedLittle: is(i, "promised_little"),
    words: textsOf(i, "words"),
    decides: textOf(i, "decides"),
  };
}

/** worstFirst puts what was missed before what is open, and that before what was met; what the run is judged by before the rest. */
export function worstFirst(items: Item[]): Item[] {
  const rank = (i: Item) => (i.required ? 0 : 10) + (i.outcome.startsWith("missed") ? 0 : i.outcome === "undecided" ? 1 : 2);
  return items.map((item, at) => ({ item, at })).sort((a, b) => rank(a.item) - rank(b.item) || a.at - b.at).map((x) => x.item);
}

/** sayChance is a probability in words; it never says that anything is certain. */
export function sayChance(p: number): string {
  return p < 0.01 ? "less than 1 in 100" : p > 0.99 ? "more than 99 in 100" : `${Math.round(100 * p)} in 100`;
}

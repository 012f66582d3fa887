/**
 * How far a value may be off, as people type it: "± 2 mm", "2 %", or after the
 * value itself, "63 mm ± 0.5". Start at understandMeasure.
 */
import { understand, unclear, type Understood } from "./typed";
import { spanOf, spanToBase, type Unit } from "./units";

/** A field with a tolerance: its value, and how far that may be off either way, in the base unit. */
export interface Measure {
  value: Understood;
  half: { kind: "empty" } | { kind: "value"; base: number } | { kind: "unclear"; message: string };
}

/** What a tolerance is read by. */
export interface ToleranceRule {
  /** The unit of a bare tolerance in its own field. */
  unit: Unit;
  /** What the value never falls below; where that is zero or more, a tolerance may be a percentage. */
  low?: number | undefined;
  /** The value stays above low. */
  above?: boolean | undefined;
  /** What counts while no value is typed. */
  preset?: number | undefined;
}

const plusMinus = /±|\+\s*\/?\s*[-−]/;

/** understandMeasure reads a value with the tolerance typed after it or in a field of its own. */
export function understandMeasure(text: string, tolerance: string, given: Unit, rule: ToleranceRule): Measure {
  const [before = "", after] = text.split(plusMinus, 2);
  const value = understand(before, given);
  const own = tolerance.replace(plusMinus, "");
  if (after === undefined) {
    return { value, half: halfOf(own, rule.unit, value, rule) };
  }
  if (own.trim() !== "") {
    return { value, half: unclear("The tolerance is typed twice: after the value, and in its own field. Leave one.") };
  }
  if (after.trim() === "") {
    return { value, half: unclear("Nothing follows the ±. Type how far it may be off, or take the sign away.") };
  }
  const half = halfOf(after, value.kind === "value" ? value.unit : given, value, rule);
  const named = understand(after, spanOf(given));
  if (value.kind === "value" && value.bare && named.kind === "value" && !named.bare && named.unit.name !== given.name) {
    const [a, b] = [before.trim(), named.unit.name];
    return { value: unclear(`Is ${a} in ${given.name} or in ${b}? Type the unit there too, such as ${a} ${given.name} ±${after}.`), half };
  }
  return { value, half };
}

/** withItsUnit writes the unit that a bare number is in after it; any other text stays as it is. */
export function withItsUnit(text: string, given: Unit): string {
  const [, before = "", rest = ""] = /^([^±]*?)(\s*(?:±|\+\s*\/?\s*[-−]).*)?$/.exec(text) ?? [];
  const value = understand(before, given);
  return value.kind === "value" && value.bare && given.name !== "" ? `${before.trim()} ${given.name}${rest}` : text;
}

function halfOf(text: string, unit: Unit, value: Understood, rule: ToleranceRule): Measure["half"] {
  if (text.trim() === "") {
    return { kind: "empty" };
  }
  const around = value.kind === "value" ? value.base : value.kind === "empty" ? rule.preset : undefined;
  if (around === undefined) {
    return value.kind === "empty" ? unclear("A tolerance is typed, but no value. Type the value, or take the tolerance away.") : { kind: "empty" };
  }
  const percent = /^(.*)%\s*$/.exec(text)?.[1];
  if (percent !== undefined && (rule.low === undefined || rule.low < 0 || unit.quantity === "temperature")) {
    return unclear(`A percentage of this depends on where its zero is. Type the tolerance in ${unit.name}.`);
  }
  const read = understand(percent ?? text, percent === undefined ? unit : hundredth);
  if (read.kind !== "value") {
    return read;
  }
  const base = percent === undefined ? spanToBase(read.typed, read.unit) : Math.abs(around) * read.base;
  if (read.typed < 0) {
    return unclear("A tolerance counts both ways. Type it without a sign.");
  }
  if (rule.low !== undefined && (around - base < rule.low || (rule.above && around - base <= rule.low))) {
    return unclear(rule.low === 0 ? "The tolerance is as large as the value, which would leave nothing. Type a smaller one." : "The tolerance reaches below what is possible here. Type a smaller one.");
  }
  return { kind: "value", base };
}

const hundredth: Unit = { name: "%", quantity: "number", mul: 1, div: 100, shift: 0, spellings: [] };

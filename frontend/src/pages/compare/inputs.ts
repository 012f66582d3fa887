import type { Units } from "../../system";
import { applies, halfAt, labelOf, textsOf, valueAt, type CalcField } from "../sheet/fields";
import { groupOf, sayInput } from "../sheet/InputList";

/** One input of two sheets; empty where a sheet leaves it to its default. */
export interface InputPair {
  at: string;
  part: string;
  words: string;
  left: string;
  right: string;
  /** By the values themselves: what is written is rounded. */
  apart: boolean;
}

/** pairInputs lays the inputs of two sheets side by side, in the order of the water. */
export function pairInputs(fields: CalcField[], left: unknown, right: unknown, units: Units): InputPair[] {
  const [a, b] = [textsOf(fields, left, units), textsOf(fields, right, units)];
  return fields
    .filter((f) => f.kind !== "object")
    .map((f) => ({
      ...{ at: f.at, part: groupOf(f), words: labelOf(f) },
      ...{ left: applies(f, a) ? sayInput(f, left, units) : "", right: applies(f, b) ? sayInput(f, right, units) : "" },
      apart: applies(f, a) !== applies(f, b) || valueAt(left, f.at) !== valueAt(right, f.at) || halfAt(left, f.at) !== halfAt(right, f.at),
    }))
    .filter((p) => p.left !== "" || p.right !== "");
}

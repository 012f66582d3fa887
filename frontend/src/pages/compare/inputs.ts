import { partNames } from "../../parts/Drawing/Handles";
import type { Part } from "../../parts/Drawing/model";
import type { Units } from "../../system";
import { applies, halfAt, labelOf, same, textsOf, valueAt, type CalcField } from "../sheet/fields";
import { groupOf, sayInput, sayRest, whereOf } from "../sheet/InputList";
import { expand, textsOfRest, type Rest } from "../sheet/whole";

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

/** drawnPart is the part of the drawing that an input belongs to; null for none. */
export function drawnPart({ at }: Pick<InputPair, "at">): Part | null {
  const group = at === "/n_parallel" ? "intake" : (at.split("/")[1] ?? "");
  return isDrawnPart(group) ? group : null;
}

const isDrawnPart = (name: string): name is Part => name in partNames;

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

/** pairRest does the same for what the sheets say beside their trompes. */
export function pairRest({ inputs }: Rest, left: unknown, right: unknown, units: Units): InputPair[] {
  const [a, b] = [textsOfRest(inputs, left, units), textsOfRest(inputs, right, units)];
  const longer = Object.fromEntries(Object.keys({ ...a, ...b }).map((k) => [k, (a[k] ?? "") > (b[k] ?? "") ? (a[k] ?? "") : (b[k] ?? "")]));
  return expand(inputs, longer)
    .filter((f) => f.kind !== "object")
    .map((f) => ({
      ...{ at: f.at, part: whereOf(f), words: labelOf(f) },
      ...{ left: sayRest(f, left, a, units), right: sayRest(f, right, b, units) },
      apart: !same(valueAt(left, f.at), valueAt(right, f.at)),
    }))
    .filter((p) => p.left !== "" || p.right !== "");
}

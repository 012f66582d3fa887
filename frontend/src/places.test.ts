import { expect, test } from "vitest";
import { among, between } from "./places";
import { unitNamed } from "./units";

const [bar, litres] = [unitNamed("pressure", "bar"), unitNamed("flow", "L/min")];

// Common practice, no source: ends of a range are written so that they differ.
test.each([
  [10_072.68, 10_137.47, bar, "0.10073 to 0.10137"],
  [31_100, 32_100, bar, "0.311 to 0.321"],
  [9_500, 25_000, bar, "0.095 to 0.25"],
  [19 / 60_000, 34 / 60_000, litres, "19 to 34"],
  [-500, 10_000, bar, "−0.005 to 0.1"],
  [10_000, 10_000, bar, "0.1 to 0.1"],
])("%d to %d", (low, high, unit, text) => {
  expect(between(low, high, unit)).toBe(`${text}\u202F${unit.name}`);
});

// By hand: the range is 0.00075 bar wide, so that two figures of it end at the fifth place.
test("a value within a range is written as finely as its ends", () => {
  expect(among(10_066.2, 10_029.2, 10_104.5, bar)).toBe("0.10066\u202Fbar");
});

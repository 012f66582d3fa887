import { describe, expect, it } from "vitest";
import { apart, axisOf, shareOf, stepOf } from "./axis";

// What follows from the words of axis.ts, by hand; no source.
describe("an axis", () => {
  it.each([
    [0.024, 5, 0.005],
    [1, 10, 0.1],
    [100, 4, 50],
    [7, 3, 5],
    [30, 3, 10],
  ])("of %d with room for %d steps goes by %d", (span, most, step) => {
    expect(stepOf(span, most)).toBeCloseTo(step, 12);
  });

  it("holds all values, ends at ticks, and writes as many digits as its step has", () => {
    const axis = axisOf([0.301, 0.3249], { most: 5 });
    expect([axis.low, axis.high]).toEqual([0.3, 0.325]);
    expect(axis.ticks.map((t) => t.text)).toEqual(["0.300", "0.305", "0.310", "0.315", "0.320", "0.325"]);
  });

  it("writes a minus sign, and none before zero", () => {
    expect(axisOf([-1, 1], { most: 4 }).ticks.map((t) => t.text)).toEqual(["−1.0", "−0.5", "0.0", "0.5", "1.0"]);
  });

  it.each([
    ["one value", [3]],
    ["zero only", [0]],
    ["no value", []],
    ["what is not a number", [NaN, Infinity]],
  ])("of %s still has two ends", (_, values) => {
    const axis = axisOf(values, { most: 5 });
    expect(axis.high).toBeGreaterThan(axis.low);
    expect(axis.ticks.length).toBeGreaterThanOrEqual(2);
    expect(axis.ticks.every((t) => Number.isFinite(t.at))).toBe(true);
  });

  it("goes by powers of ten from a span above 20 to 1, and only where all values are above zero", () => {
    expect(axisOf([1, 20], { most: 5, log: true }).log).toBe(false);
    expect(axisOf([1, 21], { most: 5, log: true }).log).toBe(true);
    expect(axisOf([0, 21], { most: 5, log: true }).log).toBe(false);
    expect(axisOf([1, 21], { most: 5 }).log).toBe(false);
  });

  it("has equal ways for equal ratios when it goes by powers of ten", () => {
    const axis = axisOf([1, 100], { most: 8, log: true });
    expect(shareOf(axis, 10)).toBeCloseTo(0.5, 12);
    expect(shareOf(axis, 0)).toBe(0);
    expect(shareOf(axis, 1000)).toBe(1);
    expect(axis.ticks.map((t) => t.text)).toEqual(["1", "2", "5", "10", "20", "50", "100"]);
    expect(axisOf([1, 1000], { most: 5, log: true }).ticks.map((t) => t.text)).toEqual(["1", "10", "100", "1000"]);
  });

  it("leaves out texts that would cover another or leave the frame", () => {
    const ticks = axisOf([0, 10], { most: 10 }).ticks;
    const shown = apart(ticks, (at) => at * 12, () => 20, { left: 0, right: 120 });
    expect(shown.map((t) => t.at)).toEqual([1, 4, 7]);
  });
});

import { describe, expect, it } from "vitest";
import { fitted, moved, timeText, timeTicks, zoomed } from "./span";
import { outline, runs, seen, summaryOf, type Point } from "./trace";

const t = "\u202F"; // before a unit
const n = "\u00a0"; // between parts of a time

// By hand: 60 s to the minute, 3600 s to the hour, 86 400 s to the day.
describe("a time in words", () => {
  it.each([
    [0, 1, `0${t}s`],
    [59.6, 1, `1${t}min`],
    [4800, 1, `1${t}h${n}20${t}min`],
    [90_061, 1, `1${t}d${n}1${t}h${n}1${t}min${n}1${t}s`],
    [12.34, 0.1, `12.3${t}s`],
    [-75, 1, `−1${t}min${n}15${t}s`],
  ])("%d s to %d s", (seconds, step, text) => {
    expect(timeText(seconds, step)).toBe(text);
  });

  it("has round times on an axis, none outside", () => {
    expect(timeTicks({ from: 100, to: 1900 }, 4).map((x) => x.at)).toEqual([600, 1200, 1800]);
    expect(timeTicks({ from: 0, to: 2 }, 4).map((x) => x.at)).toEqual([0, 0.5, 1, 1.5, 2]);
    expect(timeTicks({ from: 0, to: 3 * 86_400 }, 3).map((x) => x.text)).toEqual([`0${t}s`, `1${t}d`, `2${t}d`, `3${t}d`]);
  });
});

describe("the part that is shown", () => {
  const whole = { from: 0, to: 100 };
  it("is made smaller about its middle", () => {
    expect(zoomed({ from: 20, to: 60 }, 0.5)).toEqual({ from: 30, to: 50 });
  });
  it("moves by a share of its length, and stops at the ends with its length kept", () => {
    expect(fitted(moved({ from: 20, to: 60 }, 0.5), whole, 1)).toEqual({ from: 40, to: 80 });
    expect(fitted(moved({ from: 50, to: 90 }, 0.5), whole, 1)).toEqual({ from: 60, to: 100 });
  });
  it("is never shorter than there is sense in, nor longer than the record", () => {
    expect(fitted({ from: 49.9, to: 50.1 }, whole, 10)).toEqual({ from: 45, to: 55 });
    expect(fitted({ from: 99.9, to: 100 }, whole, 10)).toEqual({ from: 90, to: 100 });
    expect(fitted({ from: -50, to: 400 }, whole, 10)).toEqual(whole);
  });
});

describe("a trace", () => {
  const points: Point[] = [[0, 1, 3], [10, 2, 4], [40, 5, 5], [50, 6, 8]];
  it("is not drawn across a gap", () => {
    expect(runs(points, [{ from: 15, to: 35 }]).map((r) => r.map(([at]) => at))).toEqual([[0, 10], [40, 50]]);
    expect(runs(points, []).length).toBe(1);
    expect(runs([], [])).toEqual([]);
  });
  it("goes along the greatest values and back along the least", () => {
    expect(outline([[0, 1, 3], [10, 2, 4]], (at) => at, (v) => -v)).toBe("M0.0 -3.0L10.0 -4.0L10.0 -2.0L0.0 -1.0Z");
  });
  it("reaches the frame: one point beyond either end is drawn, none is counted", () => {
    const span = { from: 5, to: 45 };
    expect(seen(points, span).map(([at]) => at)).toEqual([0, 10, 40, 50]);
    expect(summaryOf(points, span)).toEqual({ least: 2, greatest: 5, mean: 4 });
    expect(summaryOf(points, { from: 15, to: 35 })).toBeNull();
  });
});

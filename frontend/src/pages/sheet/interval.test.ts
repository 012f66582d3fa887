import { describe, expect, it } from "vitest";
import { halfWidth, withInterval } from "./interval";
import { atPlace, placeOf } from "../../places";
import { unitsIn } from "../../system";

const units = unitsIn("metric");
const space = "\u202F";
const interval = (low: number | null, high: number | null, coarse = false) => ({ mean: 0, u: 0, low, high, coarse });

describe("a value ends where its width ends", () => {
  it.each([
    // JCGM 100:2008, 7.2.4 and 7.2.6, from memory.
    [100.02147, 0.00079, "100.02147", "0.00079"],
    [10.05762, 0.027, "10.058", "0.027"],
    // The rule's edges by hand: zeros up to the point, a carry, no minus before zero.
    [123456, 2345, "123500", "2300"],
    [5.4321, 0.0996, "5.43", "0.10"],
    [-0.001, 0.5, "0.00", "0.50"],
  ])("%d ± %d", (value, width, number, half) => {
    const place = placeOf(width, 2);
    expect([atPlace(value, place), atPlace(width, place)]).toEqual([number, half]);
  });
});

// Garden machine of the specification (25.8 L/min; claim 25 to 30 %, one
// standard deviation, as an invented interval); conversions by hand.
describe("a number with its interval", () => {
  it("says ± where both arms are alike", () => {
    expect(withInterval(4.304e-4, interval(3.62e-4, 4.99e-4), "free_air", units)).toBe(`25.8 ± 4.1${space}L/min`);
  });
  it("says both ends where they are not: case 26, 72 of 32 to 143 L/min, as the specification states it", () => {
    expect(withInterval(1.2052e-3, interval(32 / 6e4, 143 / 6e4), "free_air", units)).toBe(`72, from 32 to 143${space}L/min`);
  });
  it("keeps one digit of a width that the draws do not settle", () => {
    expect(withInterval(32076, interval(31676, 32476, true), "pressure", units)).toBe(`0.321 ± 0.004${space}bar`);
  });
  it("is not written finer than the number alone: a narrow interval is rounded up", () => {
    expect(withInterval(1.502612, interval(1.50257, 1.50265), "level", units)).toBe(`1.50 ± 0.01${space}m`);
    expect(withInterval(33216, interval(33198, 33234), "pressure", units)).toBe(`0.332 ± 0.001${space}bar`);
  });
  it.each([
    ["without an interval", undefined],
    ["without ends, when too many draws failed", interval(null, null)],
    ["when nothing spreads", interval(32076, 32076)],
  ])("stands alone %s", (_, i) => {
    expect(withInterval(32076, i, "pressure", units)).toBe(units.write(32076, "pressure"));
  });
  it("says widths in per cent, and those of levels in metres", () => {
    expect(halfWidth(100, 14.3, "pressure", units.shown(100, "pressure"))).toBe(`±14${space}%`);
    expect(halfWidth(-3, 0.05, "level", units.shown(-3, "level"))).toBe(`±0.05${space}m`);
  });
});

import { describe, expect, it } from "vitest";
import { unitsIn } from "../../system";
import type { ChannelFact, Report } from "./fetch";
import { oddOf, oddOfChannel, sayChannel, sayFile, saySteady } from "./found";
import { sayLeak } from "./leak";
import { isOverrated } from "./Numbers";
import { drawable, greatestOf, reachOf } from "./points";
import { scaleOf } from "./scale";

const metric = unitsIn("metric");
const us = unitsIn("us");
const plain = (text: string) => text.replaceAll(/[\u202F\u00a0]/g, " ");

describe("the unit of a channel", () => {
  it("is the member's, temperatures out of kelvin", () => {
    // 0 °C is 273.15 K and 32 °F: SI Brochure, 9th ed., 2.3.1.
    expect(plain(scaleOf("K", 287.65, metric).write(287.65))).toBe("14.5 °C");
    expect(plain(scaleOf("K", 273.15, us).write(273.15))).toBe("32 °F");
    expect(plain(scaleOf("Pa", 30_200, metric).write(30_200))).toBe("0.302 bar");
    expect(plain(scaleOf("1/s", 2, metric).write(2))).toBe("2 Hz");
    expect(plain(scaleOf("m", 0.214, metric).write(0.214))).toBe("214 mm");
  });

  it("has no zero in a width: half a kelvin is half a degree", () => {
    expect(plain(scaleOf("K", 287, metric).width(0.5))).toBe("0.5 °C");
    expect(plain(scaleOf("K", 287, us).width(0.5))).toBe("0.9 °F"); // 9/5 of it
  });
});

describe("points of an answer", () => {
  const base = (v: number) => v;
  it("have a gap where nothing was measured", () => {
    expect(drawable({ t_s: [0, 1, 2, 3], values: [5, null, null, 6] }, 1, base)).toEqual({ points: [[0, 5, 5], [3, 6, 6]], gaps: [{ from: 0, to: 3 }] });
  });

  it("have a gap where the logger paused for more than two steps, as section 2.2 of the specification of evidence parts a series", () => {
    expect(drawable({ t_s: [0, 1, 3, 6], values: [1, 1, 1, 1] }, 1, base).gaps).toEqual([{ from: 3, to: 6 }]);
  });

  it("have none only because they are few of many", () => {
    const t_s = Array.from({ length: 2000 }, (_, i) => i * 500);
    expect(drawable({ t_s, values: t_s.map(() => 1) }, 1, base).gaps).toEqual([]);
  });

  it("know how far they reach, and their largest", () => {
    expect(reachOf({ t_s: [] })).toBe(null);
    expect(reachOf({ t_s: [10, 20, 30] })).toEqual({ from: 10, to: 30 });
    expect(greatestOf([1, null, -3, 2])).toBe(-3);
    expect(greatestOf([null])).toBe(0);
  });
});

const channel: ChannelFact = { name: "tank", unit: "Pa", kind: "pressure", counted: "", file_unit: "kPa", missing: 0, stuck: [] };
const report: Report = {
  ...{ digest: "", bytes: 1, separator: ";", decimal_comma: true, start: null, duration_s: 1200, rows: 1201, duplicates: 0, out_of_order: 0, first_out_of_order: 0 },
  ...{ untimed: 0, first_untimed: 0, broken_off: 0, uneven: false, median_step_s: 1, longest_gap: { after_s: 3, length_s: 1 }, channels: [channel] },
};

describe("what the reader found", () => {
  it("is said in words, the decimal comma too", () => {
    expect(plain(sayFile(report))).toBe("1201 rows over 20 min, usually one every 1 s. Its numbers have a decimal comma, its columns are parted by semicolons.");
    expect(sayChannel(channel)).toBe("in kPa, its unit does not say what it counts from");
    expect(sayChannel({ ...channel, kind: "number", file_unit: "1" })).toBe("a plain number");
  });

  it("finds nothing odd where nothing is", () => {
    expect(oddOf(report)).toEqual([]);
    expect(oddOfChannel(channel, report, metric)).toEqual([]);
  });

  it("names a clock that went backwards, gaps, doubles and what is broken off", () => {
    const odd = oddOf({ ...report, out_of_order: 2, first_out_of_order: 512, duplicates: 1, untimed: 3, first_untimed: 9, broken_off: 1300, longest_gap: { after_s: 300, length_s: 30 }, uneven: true }).map(plain);
    expect(odd.length).toBe(6);
    expect(odd[0]).toContain("backwards 2 times, first in line 512");
    expect(odd[1]).toContain("1 row has the same time");
    expect(odd[2]).toContain("3 rows have no time that can be read, first line 9");
    expect(odd[3]).toContain("Line 1300 is broken off");
    expect(odd[4]).toContain("the longest gap is 30 s, after 5 min");
  });

  it("names a stuck sensor and what is no number", () => {
    const odd = oddOfChannel({ ...channel, missing: 5, stuck: [{ from_s: 60, to_s: 120, value: 40_000 }, { from_s: 200, to_s: 260, value: 1 }] }, report, metric).map(plain);
    expect(odd[0]).toContain("5 rows of 1201 have no number here: NaN");
    expect(odd[1]).toContain("It stuck at 0.4 bar from 1 min to 2 min, and 1 more time");
  });

  it("says whether a part is steady, and what to do where it is not", () => {
    expect(saySteady({ status: "steady", reason: "" })).toBe("Steady.");
    for (const reason of ["too_short", "still_settling", "drifting", "run_longer"] as const) {
      expect(saySteady({ status: "not_steady", reason })).not.toContain("Steady.");
    }
  });

  it("strikes s/√n through where fewer than half of the samples are news (specification of evidence, 2.5)", () => {
    expect(isOverrated({ n: 100, n_eff: 49 })).toBe(true);
    expect(isOverrated({ n: 100, n_eff: 51 })).toBe(false);
    expect(isOverrated({ n: 100, n_eff: null })).toBe(false);
  });

  it("says of a leak how large, or how large at most", () => {
    const l = { status: "leak" as const, leak_m3s: 2e-5, u: 5e-6, upper95_m3s: 3e-5, nu: 20, slope_pa_s: -1, u_slope_pa_s: 0.1, fall: 0.01, linear: true, temperature_corrected: true, n: 100 };
    expect(plain(sayLeak(l, metric))).toContain("It loses 1.2 L/min"); // 2e-5 m³/s · 60 000, by hand
    expect(plain(sayLeak({ ...l, status: "none_found" }, metric))).toContain("1.8 L/min at most");
    expect(sayLeak({ ...l, status: "missing_condition" }, metric)).toContain("air pressure");
  });
});

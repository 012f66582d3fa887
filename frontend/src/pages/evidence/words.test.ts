import { describe, expect, it } from "vitest";
import { unitsIn } from "../../system";
import type { EvidenceRun, Point, Quantity } from "./fetch";
import { because, leadOf, pairOf, pairsOf, percent, predictedRange, sayChanged, sayCoverage, saySets, sayUntried, standings, unitOf, wordsOf } from "./words";

const space = "\u202F";
const point = (p: Partial<Point> = {}): Point => ({
  ...{ run: 0, item: 0, point: 0, kind: "trompe", predicted: 10, u_predicted: 1, low: 8, high: 12.5, declared: false },
  ...{ y: 9, expanded: 0.5, pit: 0.2, outcome: "undecided", counted: true, why: [] },
  ...p,
});
const run = (r: Partial<EvidenceRun> = {}): EvidenceRun => ({
  ...{ project: 3, build: 7, number: 2, machine: "Rig of the mill", tag: 4, kind: "trompe", title: "First water", coefficient_set: "0", calc_version: "2" },
  ...{ state: "confirmed", outcome: "met", marks: [], at: "2026-10-24T10:00:00Z" },
  ...r,
});
const quantity = (points: Point[]): Quantity => ({ name: "free_air_m3s", derived: false, all: { kept: 0, aside: 0, calibration: { n: 0, duplicates: 0, coverage: null, z_mean: null, z_mean_ci: null, z_sd: null, z_sd_ci: null, ks: null, ks_p: null, status: "too_few_builds" }, scatter: null, crps: null, words: [] }, kinds: [], points });

describe("a value as it is drawn", () => {
  it("has the interval of its prediction", () => {
    expect(predictedRange(point())).toEqual({ value: 10, low: 8, high: 12.5 });
    expect(predictedRange(point({ predicted: null }))).toBeNull();
    expect(predictedRange(point({ low: null }))).toBeNull();
  });

  it("has no declared limit for an interval", () => {
    // 1.96 standard deviations of a normal distribution to each side hold 95 %.
    expect(predictedRange(point({ declared: true, low: 9.9, high: null }))).toEqual({ value: 10, low: 8.04, high: 11.96 });
    expect(pairOf(point({ declared: true }), run())?.because).toContain("a limit was declared");
  });

  it("says where it counts, and why not", () => {
    expect(pairOf(point(), run())).toMatchObject({ counts: "counted", tag: "No. 4", href: "/projects/3/builds/7/runs/2", measured: { low: 8.5, high: 9.5 } });
    expect(pairOf(point({ counted: false, why: ["set_aside"] }), run())?.counts).toBe("set aside");
    const other = pairOf(point({ counted: false, why: ["another_record"] }), run());
    expect([other?.counts, other?.because]).toEqual(["not counted", "another value of this machine counts"]);
  });

  it("is left out with its reason where it lacks an uncertainty", () => {
    const lacks = point({ expanded: null, counted: false, why: ["incomplete"] });
    const { pairs, left } = pairsOf(quantity([point(), lacks, { ...lacks, item: 1 }]), [run()]);
    expect(pairs.length).toBe(1);
    expect(left.map((l) => [l.why, l.values.length])).toEqual([[because(["incomplete"]), 2]]);
  });

  it("is of one kind where that is asked for", () => {
    expect(pairsOf(quantity([point(), point({ kind: "lift", item: 1 })]), [run()], "lift").pairs.map((p) => p.id)).toEqual(["0-1"]);
  });

  it("is written in the unit of the greatest", () => {
    const q = quantity([point({ predicted: 4e-4, low: 3e-4, high: 5e-4, y: 4e-4 })]);
    expect(unitOf(q, pairsOf(q, [run()]).pairs, unitsIn("us")).name).toBe("cfm");
    expect(unitOf({ ...q, name: "efficiency" }, [], unitsIn("metric")).name).toBe("%");
  });
});

describe("what so few machines can tell", () => {
  // Wilson, all of n inside: from n/(n + 1.96²) to 1; 9/(9 + 3.8416) = 0.7009, by hand.
  const all9 = { k: 9, n: 9, fraction: 1, lower: 0.7009, upper: 0.9999999999999999, consistent: true };
  it("is said with its own interval, and no more", () => {
    expect(sayCoverage(all9, 0.95)).toBe("It agrees, as far as 9 machines can tell.");
    expect(sayCoverage({ ...all9, lower: 0.3, upper: 0.8, consistent: false }, 0.95)).toContain("too narrow, or lie to one side");
    expect(sayCoverage({ ...all9, consistent: false }, 0.5)).toContain("wider than they need be, or these machines err alike");
  });

  it.each([
    [0.7009, "70"],
    [0.9999999999999999, "100"],
    [1, "100"],
    [0.996, "over 99"],
    [0.004, "under 1"],
    [0, "0"],
  ])("%d is a share of %s percent", (share, text) => {
    expect(percent(share)).toBe(`${text}${space}%`);
  });

  it("leaves out the count that the page says otherwise", () => {
    expect(wordsOf({ words: ["9 kept, 1 set aside.", "No bias can be told."] })).toEqual(["No bias can be told."]);
  });

  it("says where a prediction is hardly tried", () => {
    // 20 · 1.96 · 0.01 = 0.39, less than 0.5; with 0.02 it is 0.78.
    expect(sayUntried([point({ u_predicted: 0.01 }), point({ u_predicted: 1, counted: false })])).toContain("20 times as sure");
    expect(sayUntried([point({ u_predicted: 0.01 }), point({ u_predicted: 0.02 })])).toBe("");
    expect(sayUntried([])).toBe("");
  });
});

describe("how runs count", () => {
  const marks = [{ code: "hindsight" as const, text: "Set 1 was learned from it." }];
  const runs = [run(), run({ number: 3, state: "set_aside", marks: [{ code: "not_counted", text: "It was set aside by Bram: the tap dripped." }] }), run({ number: 4, marks }), run({ number: 5 }), run({ number: 6, coefficient_set: "1" })];
  const points = [point(), point({ run: 1, counted: false, why: ["set_aside"] }), point({ run: 2, counted: false, why: ["hindsight"] }), point({ run: 4 })];
  const { counted, aside, not } = standings({ runs, quantities: [quantity(points)] });

  it("parts them, and loses none", () => {
    expect([counted, aside, not].map((l) => l.map((s) => s.run.number))).toEqual([[2, 6], [3], [4, 5]]);
    expect(aside[0]?.why).toEqual(["It was set aside by Bram: the tap dripped."]);
    expect(not.map((s) => s.why[0])).toEqual(["Set 1 was learned from it.", "Nothing that is predicted with an interval was measured in it."]);
  });

  it("says with which sets those that count were predicted", () => {
    expect(saySets(counted)).toContain("1 with set 0 and 1 with set 1");
    expect(saySets(counted.slice(0, 1))).toBe("All of them were predicted with set 0.");
  });

  it("says which sets lost a run since", () => {
    expect(sayChanged({ changed_sets: [], coefficient_set: "1" })).toBe("");
    expect(sayChanged({ changed_sets: ["1"], coefficient_set: "1" })).toContain("Set 1 stays in force until another is adopted");
    expect(sayChanged({ changed_sets: ["1"], coefficient_set: "2" })).not.toContain("in force");
  });

  it("puts first how the values came out as a whole, where that is said", () => {
    expect(leadOf(["No bias can be told.", "Pressures come out 2 % above prediction (1 to 3 %)."])).toBe("Pressures come out 2 % above prediction (1 to 3 %).");
    expect(leadOf(["Pressures: too few builds to tell bias from scatter."])).toBeNull();
  });
});

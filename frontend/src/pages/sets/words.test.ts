import { describe, expect, it } from "vitest";
import type { Lesson } from "./fetch";
import { against, besides, inside, sayMoved, sayRuns, sayState, score, spread, stateOf, teachesNothing, weightWords, whoMay } from "./words";

type Moved = Lesson["coefficients"][number];
const moved = (c: Partial<Moved> = {}): Moved => ({
  ...{ name: "k_c0", about: "factor", before: { middle: 1, low: 0.84, high: 1.16 }, after: { middle: 1.08, low: 1.02, high: 1.14 } },
  ...{ shift: 1.04, removed: 0.62, not_informed: false, moved_far: false, known_with: "" },
  ...c,
});
const lesson = (l: Partial<Lesson> = {}): Lesson => ({
  ...{ calc_version: "2", current: "0", seed: "", builds: [], coefficients: [moved()], learned: null, factor: 1, directions: 1, difference: 0 },
  ...{ inside: 0, lower: 0, upper: 1, effective: 1000, checks: [], adoptable: true, words: [] },
  ...l,
});

describe("how a proposal stands", () => {
  const head = { in_force: false, adoption: null, failure: "", current: "0", evidence_changed: false };
  const adoption = { set: "1", by: { id: 1, name: "Bram" }, at: "", link: 9 };

  it("has a word for each state", () => {
    expect(stateOf({ ...head, state: "refused" })).toEqual({ word: "can’t be adopted", danger: true });
    expect(stateOf({ ...head, state: "adopted", adoption, in_force: true }).word).toBe("set 1, in force");
    expect(stateOf({ ...head, state: "adopted", adoption }).word).toBe("set 1");
  });

  it("says what an adopted set is used for", () => {
    expect(sayState({ ...head, state: "adopted", adoption, in_force: true })).toBe("New predictions are made with it.");
    expect(sayState({ ...head, state: "adopted", adoption })).toContain("not made with it");
    expect(sayState({ ...head, state: "overtaken", evidence_changed: true })).toContain("set aside since");
    expect(sayState({ ...head, state: "failed", failure: "the disk was full." })).toContain("the disk was full.");
  });

  it("says who may adopt it to whoever may not", () => {
    const p = { by: { id: 3, name: "Petra" }, lacks: "", allowed_actions: [] as never[] };
    expect(whoMay(p, { id: 3, roles: ["member", "steward"] })).toContain("You proposed it");
    expect(whoMay(p, { id: 4, roles: ["member"] })).toContain("You are none");
    expect(whoMay(p, { id: 4, roles: ["member", "steward"] })).toContain("alone took part");
    expect(whoMay({ ...p, lacks: "Nobody can." }, { id: 4, roles: [] })).toBe("Nobody can.");
  });

  it("counts runs and machines", () => {
    const r = { project: 1, build: 2, number: 1, machine: "Rig", title: "", digest: "", aside: false };
    expect(sayRuns({ runs: [r] })).toBe("one run of one machine");
    expect(sayRuns({ runs: [r, { ...r, number: 2 }, { ...r, build: 3 }] })).toBe("3 runs of 2 machines");
  });
});

describe("what the runs say", () => {
  it("lists what speaks against it", () => {
    const checks: Lesson["checks"] = [
      { code: "too_few_crews", holds: false, words: "They were made by 1 crew." },
      { code: "moved_far", holds: true, words: "No." },
    ];
    expect(against(lesson({ checks }))).toEqual(["They were made by 1 crew."]);
    expect(against(null)).toEqual([]);
  });

  it("writes a coefficient with the ends of its interval", () => {
    expect(spread({ middle: 1.08, low: 1.02, high: 1.14 })).toBe("1.08 ± 0.06");
    expect(spread({ middle: 0.842, low: 0.651, high: 0.984 })).toBe("0.84, from 0.65 to 0.98");
  });

  it("says how it moved, and what is known of it", () => {
    expect(sayMoved(moved())).toBe("It moved up by 1.0 of the standard deviations of set 0; the machines took away 62\u202F% of its variance.");
    expect(sayMoved(moved({ shift: 0.01, known_with: "k_v" }))).toContain("Only in combination with k_v");
    expect(sayMoved(moved({ not_informed: true }))).toBe("The machines say next to nothing of it.");
  });

  it("says where nothing was learned", () => {
    const none = moved({ name: "k_in", not_informed: true });
    expect([teachesNothing(lesson()), teachesNothing(lesson({ coefficients: [none] }))]).toEqual([false, true]);
  });

  it("says once what a table has", () => {
    expect(besides(lesson({ words: ["factor: 1.08 (1.02 to 1.14), was 1 (0.84 to 1.16).", "Rig is unlike the others."] }))).toEqual(["Rig is unlike the others."]);
  });

  it("says of a machine how it weighs", () => {
    const b = { name: "Rig", values: 3, skipped: false, weight: 0.31, d2: 9, crps_new: 0.0123, crps_current: null, inside_new: true, inside_current: null };
    expect([weightWords(b), score(b.crps_new), score(b.crps_current), inside(true), inside(null)]).toEqual(["0.31, unlike the others: have a look at it", "1.23\u202F%", "–", "inside", "–"]);
    expect(weightWords({ ...b, skipped: true })).toContain("no number");
  });
});

import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { unitsIn } from "../../system";
import type { Basis } from "./basis";
import type { CalcField } from "./fields";
import type { Uncertainty } from "./interval";
import type { Numbers } from "./say";
import { failedSentence } from "./Unknowns";
import { lesser, ranked, unknownAt } from "./unknowns";

const { inputs } = JSON.parse(readFileSync("src/pages/sheet/testdata/fields.json", "utf8")) as { inputs: CalcField[] };
const { cases } = JSON.parse(readFileSync("../calc/trompe/testdata/worked.json", "utf8")) as { cases: { result: Numbers }[] };
const n = cases[0]?.result as Numbers;
const basis: Basis = { inputs, outputs: [{ at: "/chamber_gauge_pa", kind: "number", unit: "Pa", about: "" }], input: {} };
const space = "\u202F";

const p = n.chamber_gauge_pa;
const output = "chamber_gauge_pa";
const u: Uncertainty = {
  ...{ status: "ok", draws: 100, failed: 6, seed: "0".repeat(64), set: "0" },
  outputs: { [output]: { mean: p, u: 0.07 * p, low: 0.86 * p, high: 1.14 * p } },
  ranking: [
    { output, input: "/riser/outlet_m", share: 0.02, rough: false },
    { output, input: "/params/k_in", share: 0.61, rough: false },
    { output, input: "/params/k_v", share: 0.2, rough: true },
    { output: "head_m", input: "/params/k_b", share: 0.9, rough: false },
  ],
};

// The example of section 3.5 of the specification of evidence: 61 % of a spread
// of ±14 %; what is left is 14·√0.39 = 8.74, by hand.
describe("which unknown matters", () => {
  const list = ranked(basis, n, u, output, unitsIn("metric"));

  it("says its share and what knowing it would bring, the largest first", () => {
    expect(list[0]?.sentence).toBe(`Entry loss between the air tubes makes 61${space}% of the spread. Measuring it before building would narrow ±14${space}% to ±8.7${space}%.`);
  });
  it("marks what is rough, and leaves the small and other outputs' unknowns out", () => {
    expect(list.map((s) => s.at)).toEqual(["/params/k_in", "/params/k_v"]);
    expect(list[1]?.sentence).toContain("roughly 20");
    expect(lesser(basis, u, output)).toEqual([`“Level at which the water leaves” 2${space}%`]);
  });
  it("says how to measure every coefficient there is", () => {
    const names = inputs.filter((f) => f.at.startsWith("/params/")).map((f) => unknownAt(basis, f.at));
    expect(names.length).toBe(11); // rows of table 3 of the specification of the trompe
    expect(names.filter((k) => k.name.startsWith("“") || k.how.startsWith("Measure it again"))).toEqual([]);
  });
  it("says failed draws as a sentence", () => {
    expect(failedSentence(u)).toBe("In 6 of 100 draws the machine does not start.");
    expect(failedSentence({ ...u, failed: 0 })).toBeNull();
    expect(failedSentence({ ...u, failed: 30, status: "too_many_failed" })).toContain("too many for an interval");
  });
});

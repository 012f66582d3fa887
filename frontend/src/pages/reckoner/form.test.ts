import { describe, expect, test } from "vitest";
import { unitsIn } from "../../system";
import { find, type Head } from "./find";
import { applies, controlOf, inputOf, labelOf, textsOf } from "./form";
import type { CalcField } from "./measure";

const metric = unitsIn("metric");
const us = unitsIn("us");

const ram: CalcField[] = [
  { at: "/ram", kind: "object", about: "the ram", required: true },
  { at: "/ram/H", kind: "number", unit: "m", about: "supply fall", required: true },
  { at: "/p1", kind: "number", unit: "Pa", about: "pressure at the start, absolute" },
  { at: "/wet", kind: "flag", about: "there is water in it", default: "false" },
];

const runs: CalcField[] = [
  {
    at: "/runs",
    kind: "records",
    about: "the runs of pipe",
    required: true,
    item: [
      { at: "/z1_m", kind: "number", unit: "m", about: "from centre to socket bottom" },
      { at: "/qty", kind: "count", about: "how many of these" },
    ],
  },
];

const air: CalcField[] = [
  { at: "/to", kind: "any", choices: ["ANR"], about: "air that is wanted" },
  { at: "/to/T", kind: "number", unit: "K", about: "temperature of that air" },
];

const list: CalcField[] = [{ at: "/times", kind: "numbers", unit: "s", about: "time of each filling" }];

describe("the input that is typed", () => {
  test("has objects within it, and pressures that say what they count from", () => {
    // 8 ft are 2.4384 m (exact since 1959); 1 bar is 1e5 Pa
    const texts = { "/ram/H": "8 ft", "/p1": "2 bar abs", "/wet": "true" };
    expect(inputOf(ram, texts, metric)).toEqual({ input: { ram: { H: 2.4384 }, p1: 200000, wet: true }, faults: [] });
    expect(inputOf(ram, { "/p1": "2" }, metric).input).toEqual({ p1: 200000 });
    expect(inputOf(ram, { "/p1": "29 psia" }, metric).input["p1"]).toBeCloseTo(29 * 6894.757, 0); // 1 psi by definition
    expect(inputOf(ram, { "/p1": "2 barg" }, metric).faults.map((f) => f.field)).toEqual(["/p1"]);
  });

  test("has lists of objects, in the order of the rows", () => {
    const texts = { "/runs": "2", "/runs/0/z1_m": "0.035", "/runs/1/z1_m": "1 in", "/runs/1/qty": "3" };
    expect(inputOf(runs, texts, metric).input).toEqual({ runs: [{ z1_m: 0.035 }, { z1_m: 0.0254, qty: 3 }] });
    expect(inputOf(runs, {}, metric).input).toEqual({});
  });

  test("has lists of numbers with spaces or semicolons between them", () => {
    expect(inputOf(list, { "/times": "8.1 7,9; 8.4" }, metric).input).toEqual({ times: [8.1, 7.9, 8.4] });
    expect(inputOf(list, { "/times": "8.1 fast" }, metric).faults).toHaveLength(1);
  });

  test("has rows, a line each, and says what is missing or infinite", () => {
    const fields: CalcField[] = [
      { at: "/readings", kind: "numbers", gaps: true, about: "readings" },
      { at: "/J", kind: "rows", about: "sensitivities" },
      { at: "/R", kind: "numbers_or_rows", about: "covariance" },
      { at: "/p_b", kind: "number_or_numbers", unit: "Pa", gaps: true, about: "barometer, absolute" },
      { at: "/nu", kind: "number", infinite: true, about: "degrees of freedom" },
    ];
    const texts = { "/readings": "1.5 – 2", "/J": "1 0\n0,5 2", "/R": "1 2", "/p_b": "1.01", "/nu": "inf" };
    const input = { readings: [1.5, null, 2], J: [[1, 0], [0.5, 2]], R: [1, 2], p_b: 101000, nu: "inf" };
    expect(inputOf(fields, texts, metric)).toEqual({ input, faults: [] });
    expect(inputOf(fields, textsOf(fields, input, metric), metric)).toEqual({ input, faults: [] });
    expect(inputOf(fields, { "/R": "1 2\n3 4", "/p_b": "1.01 -" }, metric).input).toEqual({ R: [[1, 2], [3, 4]], p_b: [101000, null] });
    expect(inputOf(fields, { "/nu": "some" }, metric).faults.map((f) => f.field)).toEqual(["/nu"]);
  });

  test("shows a fault within a list at the field of the list", () => {
    const fields: CalcField[] = [
      { at: "/times", kind: "numbers", about: "times" },
      { at: "/J", kind: "rows", about: "rows" },
      { at: "/builds", kind: "records", about: "builds", item: [{ at: "/name", kind: "text", about: "name" }, { at: "/y", kind: "numbers", about: "values" }] },
    ];
    expect(controlOf(fields, "/times/1")).toEqual({ at: "/times", place: "Number 2: " });
    expect(controlOf(fields, "/J/0/2")).toEqual({ at: "/J", place: "Row 1, number 3: " });
    expect(controlOf(fields, "/builds/1/y/0")).toEqual({ at: "/builds/1/y", place: "Number 1: " });
    expect(controlOf(fields, "/builds/1/name")).toEqual({ at: "/builds/1/name", place: "" });
    expect(controlOf(fields, "/builds/1")).toEqual({ at: "/builds/1", place: "" });
    expect(controlOf(fields, "")).toEqual({ at: "", place: "" });
  });

  test("asks in each row for what its kind has", () => {
    const budget: CalcField = {
      at: "/components",
      kind: "records",
      about: "causes",
      item: [
        { at: "/kind", kind: "choice", choices: ["standard", "resolution"], about: "kind" },
        { at: "/u", kind: "number", about: "standard uncertainty", when: { at: "/kind", is: ["standard"] } },
        { at: "/delta", kind: "number", about: "step", when: { at: "/kind", is: ["resolution"] } },
      ],
    };
    const texts = { "/components": "2", "/components/0/kind": "standard", "/components/0/u": "3", "/components/0/delta": "4", "/components/1/kind": "resolution", "/components/1/delta": "5" };
    expect(inputOf([budget], texts, metric).input).toEqual({ components: [{ kind: "standard", u: 3 }, { kind: "resolution", delta: 5 }] });
    expect(inputOf([{ ...budget, empty: true }], { "/components": "0" }, metric).input).toEqual({ components: [] });
  });

  test("has an own object in place of a name", () => {
    expect(inputOf(air, { "/to": "ANR", "/to/T": "10" }, metric).input).toEqual({ to: "ANR" });
    // 0 °C is 273.15 K, 50 °F are 10 °C (definitions)
    expect(inputOf(air, { "/to": "own", "/to/T": "10" }, metric).input).toEqual({ to: { T: 283.15 } });
    expect(inputOf(air, { "/to": "own", "/to/T": "50" }, us).input).toEqual({ to: { T: 283.15 } });
  });

  test.each([
    [ram, { ram: { H: 3 }, p1: 201325, wet: false }],
    [runs, { runs: [{ z1_m: 0.035 }, { qty: 2 }] }],
    [air, { to: { T: 283.15 } }],
    [air, { to: "ANR" }],
    [list, { times: [8.1, 7.9] }],
  ])("comes back as it was written, in every system of units", (fields, input) => {
    for (const units of [metric, us, unitsIn("si")]) {
      expect(inputOf(fields, textsOf(fields, input, units), units)).toEqual({ input, faults: [] });
    }
  });
});

test("a field that hangs on a choice is asked for with that choice", () => {
  const radius: CalcField = { at: "/radius", kind: "number", about: "radius", when: { at: "/shape", is: ["half_round"], else: "rectangular" } };
  expect(applies(radius, {}, [])).toBe(false);
  expect(applies(radius, { "/shape": "half_round" }, [])).toBe(true);
});

test("a long line about a field is a label and what is said below it", () => {
  expect(labelOf({ at: "/a", kind: "number", about: "modulus of the wall: steel 200e9, PVC 3e9" })).toEqual({ label: "Modulus of the wall", hint: "Steel 200e9, PVC 3e9." });
  expect(labelOf({ at: "/h", kind: "number", about: "head over the notch" })).toEqual({ label: "Head over the notch", hint: "" });
});

test("the search goes by words of the trade, in any order, and by symbols as they are written", () => {
  const head = (name: string, answers: string, words: string[], equation: string): Head => ({ name, subject: "", answers, words, equation });
  const all = [head("a/vnotch", "flow over a weir", ["gauging"], "Q = C_e·h²"), head("a/ram", "what a ram lifts", ["pump"], "q = η_D·H/h")];
  const names = (text: string) => find(all, text).map((c) => c.name);
  expect(names("")).toEqual(["a/vnotch", "a/ram"]);
  expect(names("WEIRS gaug")).toEqual(["a/vnotch"]);
  expect(names("Q")).toEqual(["a/vnotch"]);
  expect(names("η_D")).toEqual(["a/ram"]);
  expect(names("ram weir")).toEqual([]);
});

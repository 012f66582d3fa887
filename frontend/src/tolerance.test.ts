import { describe, expect, it } from "vitest";
import { understandMeasure, type Measure, type ToleranceRule } from "./tolerance";
import { unitNamed } from "./units";

const m = unitNamed("length", "m");
const mm = unitNamed("length", "mm");
const bore: ToleranceRule = { unit: mm, low: 0, above: true };
const level: ToleranceRule = { unit: mm, low: -10_000 };

const half = ({ half: h }: Measure) => (h.kind === "value" ? h.base : h.kind === "unclear" ? h.message : null);

// The expected widths follow from the definitions: 1 in = 25.4 mm, a span of 9 °F = 5 K.
describe("a tolerance", () => {
  it.each([
    ["63 mm ± 0.5", "", 0.0005], // in the unit of the value
    ["63 mm +/- 0.5", "", 0.0005],
    ["63 ±0,5", "", 0.0005],
    ["3 in ± 1/16 in", "", 0.0015875],
    ["63 mm", "± 2 mm", 0.002],
    ["63 mm", "2", 0.002], // in the unit beside its own field
    ["63 mm", "2 %", 0.00126],
    ["63 mm ± 2 %", "", 0.00126],
    ["63 mm", "", null],
  ])("of %s and %s", (text, own, want) => {
    const got = half(understandMeasure(text, own, mm, bore));
    expect(typeof got === "number" && want !== null ? Math.abs(got - want) < 1e-12 : got === want).toBe(true);
  });

  it("of a temperature has no zero of the scale in it", () => {
    const degF = unitNamed("temperature", "°F");
    expect(half(understandMeasure("54 °F ± 9", "", degF, { unit: degF, low: 0.5 }))).toBe(5);
    expect(half(understandMeasure("54", "9 °F", degF, { unit: degF, low: 0.5 }))).toBe(5);
    expect(half(understandMeasure("54", "2 %", degF, { unit: degF, low: 0.5 }))).toContain("depends on where its zero is");
  });

  it.each([
    ["63 mm", "63", "as large as the value"],
    ["63 mm", "120 %", "as large as the value"],
    ["63 mm ± 0.5", "2", "typed twice"],
    ["63 mm ±", "", "Nothing follows"],
    ["", "2 mm", "but no value"],
    ["63 mm", "-2", "without a sign"],
    ["63 mm", "2 psi", "unit of pressure"],
    ["63 mm", "some", "is not a number"],
  ])("is refused: %s with %s", (text, own, why) => {
    expect(half(understandMeasure(text, own, mm, bore))).toContain(why);
  });

  it("may pass zero where the value may, but is no percentage there", () => {
    expect(half(understandMeasure("0 ± 0.02", "", m, level))).toBe(0.02);
    expect(half(understandMeasure("2 %", "", m, level))).toBeNull();
    expect(half(understandMeasure("2.6", "2 %", m, level))).toContain("depends on where its zero is");
  });

  it("stands around the preset while no value is typed", () => {
    expect(half(understandMeasure("", "10 %", unitNamed("number", ""), { unit: unitNamed("number", ""), low: 0, preset: 1.5 }))).toBeCloseTo(0.15, 12);
  });

  it("asks which unit the value is in, where only the tolerance names another", () => {
    const { value } = understandMeasure("63 ± 0.5 mm", "", m, level);
    expect(value).toMatchObject({ kind: "unclear", message: "Is 63 in m or in mm? Type the unit there too, such as 63 m ± 0.5 mm." });
  });
});

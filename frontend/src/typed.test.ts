import { describe, expect, it } from "vitest";
import { readNumber, understand } from "./typed";
import { unitNamed } from "./units";

const m = unitNamed("length", "m");
const mm = unitNamed("length", "mm");
const inch = unitNamed("length", "in");
const bar = unitNamed("pressure", "bar");
const litres = unitNamed("flow", "L/min");

/** The base value that a text was understood as. */
function base(text: string, unit = m): number {
  const u = understand(text, unit);
  if (u.kind !== "value") {
    throw new Error(`${text}: ${u.kind}`);
  }
  return u.base;
}

/** What is said of a text that is not understood. */
function complaint(text: string, unit = m): string {
  const u = understand(text, unit);
  return u.kind === "unclear" ? u.message : `${text} was understood`;
}

describe("understand", () => {
  it("takes point and comma alike", () => {
    expect(base("2.6")).toBe(2.6);
    expect(base("2,6")).toBe(2.6);
    expect(base(" 2,6 m ")).toBe(2.6);
    expect(base("1 250,5 mm")).toBe(1.2505);
    expect(base("−3")).toBe(-3);
  });

  it("takes workshop fractions", () => {
    expect(base("3/4 in")).toBeCloseTo(0.01905, 12); // 0.75 · 25.4 mm
    expect(base('1 1/2"')).toBeCloseTo(0.0381, 12); // 1.5 · 25.4 mm
    expect(base("1-1/2 in")).toBeCloseTo(0.0381, 12); // as it stands on a fitting
    expect(base("½ in")).toBeCloseTo(0.0127, 12); // 0.5 · 25.4 mm
    expect(base("1½ in")).toBeCloseTo(0.0381, 12);
    expect(base("3/4", inch)).toBeCloseTo(0.01905, 12); // inches stand beside the field
  });

  // Source: 1 ft = 12 in = 0.3048 m, by definition.
  it.each(["5 ft 3 in", "5' 3\"", "5’ 3”", "5'-3\"", "5 feet 3 inches", "5ft3in", "5' 3"])("takes feet and inches: %s", (text) => {
    expect(base(text)).toBeCloseTo(1.6002, 12); // 63 · 25.4 mm
  });

  it("takes feet and inches with a fraction or a sign", () => {
    expect(base("-5' 3 1/2\"")).toBeCloseTo(-1.6129, 12); // 63.5 · 25.4 mm
    expect(base("2' 3/4\"")).toBeCloseTo(0.62865, 12); // 24.75 · 25.4 mm
    expect(complaint("5 ft 14 in")).toContain("less than 12 inches");
    expect(complaint("5.5 ft 3 in")).toContain("whole feet");
  });

  it("takes the minus signs of phones and books, and powers of ten", () => {
    expect(["-3", "−3", "–3", "- 3"].map((t) => base(t))).toEqual([-3, -3, -3, -3]);
    expect(["1.5e-6", "1.5 × 10⁻⁶", "1.5 x 10^-6"].map((t) => base(t))).toEqual([1.5e-6, 1.5e-6, 1.5e-6]);
  });

  // Common ways to write these units in the trade; from memory.
  it.each([
    ["15 psig", bar, 103_421.4, 0.1],
    ["2 m water", bar, 19_613.3, 1e-9],
    ["10 inH2O", bar, 2490.889, 1e-3],
    ["29.92 inHg", bar, 101_320.8, 0.1],
    ["1,5 bar", bar, 150_000, 0],
    ["10 gpm", litres, 6.30902e-4, 1e-9],
    ["1 cfm", litres, 4.719474e-4, 1e-9],
    ["1 ft³/min", litres, 4.719474e-4, 1e-9],
    ["2 lps", litres, 0.002, 0],
  ] as const)("knows the spelling of %s", (text, unit, want, within) => {
    expect(Math.abs(base(text, unit) - want)).toBeLessThanOrEqual(within);
  });

  it("takes a unit of its own over the given one", () => {
    expect(base("250 mm")).toBe(0.25);
    expect(base("250mm")).toBe(0.25);
    expect(base("0,3 BAR", bar)).toBeCloseTo(30_000, 9);
  });

  it.each(["1.234,5", "about two", "2.6.1", "1/0", "--2", "2 apples", "12 psi"])("does not guess at %s", (text) => {
    const u = understand(text, m);
    expect(u.kind).toBe("unclear");
  });

  it("says what is wrong and what to type", () => {
    expect(understand("1.234,5", m)).toMatchObject({ message: expect.stringContaining("comma and a point") as string });
    expect(understand("2 apples", m)).toMatchObject({ message: expect.stringContaining("“apples” is not a unit") as string });
    expect(complaint("1,234,5")).toContain("two commas");
    expect(complaint("1.234.5")).toContain("two points");
  });

  it("names both kinds where a unit is of the wrong one", () => {
    expect(complaint("15 psi")).toBe("“psi” is a unit of pressure; a unit of length is wanted here, such as m.");
    expect(complaint("2 m", bar)).toContain("For a height of water add the word: m water");
    expect(complaint("2 gal", litres)).toMatch(/unit of volume.*unit of flow/);
    expect(complaint("26 mm", unitNamed("number", ""))).toBe("Type a plain number here, without “mm”.");
  });

  it("asks what a fraction is of, where millimetres or metres stand beside the field", () => {
    expect(complaint("3/4", mm)).toBe("Is “3/4” in inches or in mm? Type 3/4 in, or 0.75 mm.");
    expect(complaint("1 1/2")).toBe("Is “1 1/2” in inches or in m? Type 1 1/2 in, or 1.5 m.");
    expect(base("1/2", unitNamed("number", ""))).toBe(0.5);
  });

  it("asks back where a comma may part thousands", () => {
    expect(complaint("1,234 mm")).toBe("“1,234” can be read in two ways. Type 1.234 or 1234.");
    expect(base("0,125")).toBe(0.125);
    expect(base("1,25")).toBe(1.25);
    expect(base("1 234,5 mm")).toBe(1.2345);
  });

  it("takes no tolerance where none belongs", () => {
    expect(complaint("2.6 ± 0.1")).toContain("No tolerance");
    expect(complaint("2.6 +/- 0.1")).toContain("No tolerance");
  });

  it("knows empty from zero", () => {
    expect(understand("  ", m).kind).toBe("empty");
    expect(base("0")).toBe(0);
  });
});

describe("readNumber", () => {
  it("never makes a number of nothing", () => {
    expect(["", ".", ",", "-", "e5", "0x10", "Infinity", "NaN"].map(readNumber)).toEqual(Array(8).fill(null));
  });
});

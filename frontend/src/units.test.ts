import { describe, expect, it } from "vitest";
import { asTyped, figures, fromBase, readNumber, show, toBase, understand, unitNamed } from "./units";

const m = unitNamed("length", "m");
const bar = unitNamed("pressure", "bar");

/** The base value that a text was understood as. */
function base(text: string, unit = m): number {
  const u = understand(text, unit);
  if (u.kind !== "value") {
    throw new Error(`${text}: ${u.kind}`);
  }
  return u.base;
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
  });

  it("knows empty from zero", () => {
    expect(understand("  ", m).kind).toBe("empty");
    expect(base("0")).toBe(0);
  });
});

// Source of the factors: NIST Special Publication 811 (2008), appendix B.8, as
// printed there to seven significant figures; from memory, exact ones marked.
describe("factors", () => {
  it.each([
    ["pressure", "psi", 6894.757, 1e-7],
    ["pressure", "bar", 1e5, 0], // exact
    ["pressure", "m water", 9806.65, 0], // exact, conventional metre of water
    ["flow", "US gal/min", 6.30902e-5, 1e-6],
    ["flow", "ft³/s", 2.831685e-2, 1e-6],
    ["flow", "ft³/min", 4.719474e-4, 1e-6],
    ["length", "ft", 0.3048, 0], // exact
    ["length", "in", 0.0254, 0], // exact
    ["area", "ft²", 9.290304e-2, 1e-12], // exact
  ] as const)("one %s of %s", (quantity, name, want, relative) => {
    const got = toBase(1, unitNamed(quantity, name));
    expect(Math.abs(got / want - 1)).toBeLessThanOrEqual(relative + 1e-15);
  });

  // Source: the fixed points of water, and the definition of the scales.
  it.each([
    [32, 0],
    [212, 100],
    [-40, -40],
  ])("%d °F is %d °C", (f, c) => {
    const degF = unitNamed("temperature", "°F");
    expect(toBase(f, degF)).toBeCloseTo(c, 9);
    expect(fromBase(c, degF)).toBeCloseTo(f, 9);
  });

  it("comes back to what was kept, for every workshop unit", () => {
    for (const [quantity, name] of [
      ["flow", "L/min"],
      ["flow", "L/s"],
      ["pressure", "bar"],
      ["pressure", "psi"],
      ["length", "mm"],
      ["temperature", "°F"],
    ] as const) {
      const unit = unitNamed(quantity, name);
      for (let n = 1; n < 400; n++) {
        const kept = n * 0.00137;
        expect(Math.abs(base(asTyped(kept, unit), unit) - kept)).toBeLessThan(1e-9);
      }
    }
  });
});

describe("writing", () => {
  it("has no float dust", () => {
    expect(asTyped(0.0024, unitNamed("flow", "L/s"))).toBe("2.4");
    expect(asTyped(0.0024, unitNamed("flow", "L/min"))).toBe("144");
    expect(asTyped(null, m)).toBe("");
  });
  it("puts the unit after a thin space", () => {
    expect(show(30_000, bar)).toBe("0.3\u202Fbar");
    expect(show(103421.36, bar)).toBe("1.034\u202Fbar");
    expect(figures(-0.00123456, 3)).toBe("−0.00123");
    expect(figures(12345678, 4)).toBe("12350000");
  });
});

describe("readNumber", () => {
  it("never makes a number of nothing", () => {
    expect(["", ".", ",", "-", "e5", "0x10", "Infinity", "NaN"].map(readNumber)).toEqual(Array(8).fill(null));
  });
});

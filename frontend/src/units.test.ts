import { describe, expect, it } from "vitest";
import { asTyped, figures, fromBase, show, spanToBase, toBase, unitNamed } from "./units";

// Source of the factors: NIST Special Publication 811 (2008), appendix B.8, as
// printed there to seven significant figures; from memory, exact ones marked.
describe("factors", () => {
  it.each([
    ["pressure", "psi", 6894.757, 1e-7],
    ["pressure", "bar", 1e5, 0], // exact
    ["pressure", "m water", 9806.65, 0], // exact, conventional metre of water
    ["pressure", "ft water", 2989.067, 1e-7],
    ["pressure", "in water", 249.0889, 1e-7],
    ["pressure", "mmHg", 133.3224, 2e-7],
    ["pressure", "inHg", 3386.389, 1.5e-7],
    ["flow", "US gal/min", 6.30902e-5, 1e-6],
    ["flow", "ft³/s", 2.831685e-2, 1e-6],
    ["flow", "cfm", 4.719474e-4, 1e-6],
    ["length", "ft", 0.3048, 0], // exact
    ["length", "in", 0.0254, 0], // exact
    ["length", "yd", 0.9144, 0], // exact
    ["area", "ft²", 9.290304e-2, 1e-12], // exact
    ["area", "in²", 6.4516e-4, 1e-12], // exact
    ["speed", "ft/s", 0.3048, 0], // exact
    ["volume", "US gal", 3.785412e-3, 1e-6],
    ["power", "hp", 745.6999, 1e-7],
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

  // Source: the definition; a span of 9 °F is one of 5 K, wherever it begins.
  it("has no zero of the scale in a width", () => {
    expect(spanToBase(9, unitNamed("temperature", "°F"))).toBe(5);
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
        expect(Math.abs(toBase(Number(asTyped(kept, unit)), unit) - kept)).toBeLessThan(1e-9);
      }
    }
  });
});

describe("writing", () => {
  it("has no float dust", () => {
    expect(asTyped(0.0024, unitNamed("flow", "L/s"))).toBe("2.4");
    expect(asTyped(0.0024, unitNamed("flow", "L/min"))).toBe("144");
    expect(asTyped(null, unitNamed("length", "m"))).toBe("");
  });
  it("puts the unit after a thin space", () => {
    const bar = unitNamed("pressure", "bar");
    expect(show(30_000, bar)).toBe("0.3\u202Fbar");
    expect(show(103421.36, bar)).toBe("1.034\u202Fbar");
    expect(figures(-0.00123456, 3)).toBe("−0.00123");
  });

  // Source: SI brochure, 9th edition, 5.4.4: groups of three from five digits on, parted by a thin space.
  it("groups many digits, and writes very small numbers by a power of ten", () => {
    expect(figures(12345678, 4)).toBe("12\u202F350\u202F000");
    expect(figures(32076, 3)).toBe("32\u202F100");
    expect(figures(9807, 4)).toBe("9807");
    expect(figures(12345.6789, 9)).toBe("12\u202F345.6789");
    expect(figures(0.0000356, 3)).toBe("3.56 × 10⁻⁵");
    expect(figures(-0, 3)).toBe("0");
  });
});

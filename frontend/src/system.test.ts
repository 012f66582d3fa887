import { describe, expect, it } from "vitest";
import { otherThan, textFor, unitsIn, type Use } from "./system";
import { understand } from "./typed";

const space = "\u202F";

// Converted by hand with the factors of NIST SP 811, appendix B.8 (from memory):
// 0.0678 m / 25.4 mm; 2.6 m / 0.3048 m; 32 076 Pa / 6894.757 Pa; 0.0022 m³/s /
// 6.30902e-5 m³/s; 4.304e-4 m³/s / 4.719474e-4 m³/s; 12 °C · 9/5 + 32.
describe("what is shown", () => {
  it.each([
    [0.0678, "bore", `67.8${space}mm`, `2.67${space}in`, `0.0678${space}m`],
    [2.896, "bore", `2.9${space}m`, `9.5${space}ft`, `2.9${space}m`],
    [2.6, "level", `2.60${space}m`, `8.53${space}ft`, `2.60${space}m`],
    [-0.35, "level", `−0.35${space}m`, `−1.15${space}ft`, `−0.35${space}m`],
    [32_076, "pressure", `0.321${space}bar`, `4.65${space}psi`, `32${space}100${space}Pa`],
    [0.0022, "flow", `132${space}L/min`, `34.9${space}US gal/min`, `0.0022${space}m³/s`],
    [37.179, "flow", `37.2${space}m³/s`, `1310${space}ft³/s`, `37.2${space}m³/s`],
    [4.304e-4, "free_air", `25.8${space}L/min`, `0.912${space}cfm`, `0.00043${space}m³/s`],
    [12, "temperature", `12${space}°C`, `53.6${space}°F`, `12${space}°C`],
    [0.184, "percent", `18.4${space}%`, `18.4${space}%`, `18.4${space}%`],
    [1.5, "ratio", "1.5", "1.5", "1.5"],
  ] as const)("%d as %s", (value, use, metric, us, si) => {
    expect(["metric", "us", "si"].map((name) => unitsIn(name).write(value, use))).toEqual([metric, us, si]);
  });

  it("is metric until somebody chose", () => {
    expect(unitsIn(undefined).system).toBe("metric");
    expect(unitsIn("cubits").system).toBe("metric");
  });

  it("is said in the title block", () => {
    expect(unitsIn("metric").line).toBe("m, mm, bar, L/min");
    expect(unitsIn("us").line).toBe("ft, in, psi, US gal/min, cfm");
    expect(unitsIn("si").line).toBe("m, Pa, m³/s");
  });
});

describe("what stands in a field", () => {
  const text = (system: string, use: Use, base: number) => {
    const units = unitsIn(system);
    return textFor(base, units.typed(use), otherThan(units).typed(use));
  };

  // 76.2 mm = 3 in, 63 mm = 2.48… in, 15 psi = 103 421.359… Pa, 59 °F = 15 °C: from the definitions.
  it("is bare where it is round, else named as it is round", () => {
    expect(["metric", "us", "si"].map((s) => text(s, "bore", 0.0762))).toEqual(["76.2", "3", "0.0762"]);
    expect(["metric", "us", "si"].map((s) => text(s, "bore", 0.063))).toEqual(["63", "63 mm", "0.063"]);
    expect(["metric", "us"].map((s) => text(s, "pressure", 103_421.359397))).toEqual(["15 psi", "15"]);
    expect(["metric", "us"].map((s) => text(s, "temperature", 15))).toEqual(["15", "59"]);
  });

  it("means what was kept, in every system", () => {
    for (const system of ["metric", "us", "si"]) {
      for (const use of ["level", "bore", "pressure", "flow", "temperature", "section"] as const) {
        for (let n = -3; n < 60; n++) {
          const kept = Number((0.00173 * n ** 3).toPrecision(12));
          const read = understand(text(system, use, kept), unitsIn(system).typed(use));
          expect(read.kind === "value" && Math.abs(read.base - kept) <= 1e-11 * Math.max(Math.abs(kept), 20)).toBe(true);
        }
      }
    }
  });
});

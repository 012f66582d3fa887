import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { acrossOf, ends, levelsFor, panelsOf, yOf } from "./depth";
import type { Numbers } from "./say";

// Results of an independent implementation; the file says so.
const { cases } = JSON.parse(readFileSync("../calc/trompe/testdata/worked.json", "utf8")) as { cases: { name: string; input: { intake: { mouth_m: number }; downcomer: { outlet_m: number } }; result: Numbers }[] };

describe.each(cases)("$name against depth", ({ input, result }) => {
  const panels = panelsOf(result);

  it("reaches from the air tubes to the downcomer's mouth, as the input has them", () => {
    expect(ends(result).top).toBeCloseTo(input.intake.mouth_m, 6);
    expect(ends(result).bottom).toBeCloseTo(input.downcomer.outlet_m, 6);
  });

  it("stands inside its own height, heights to scale", () => {
    const l = levelsFor(result, 240);
    const { top, bottom } = ends(result);
    const middle = (top + bottom) / 2;
    expect(yOf(l, top)).toBeGreaterThan(0);
    expect(yOf(l, bottom)).toBeLessThan(240);
    expect(yOf(l, middle)).toBeCloseTo((yOf(l, top) + yOf(l, bottom)) / 2, 6);
  });

  it("keeps every point inside the panel's width", () => {
    for (const p of panels) {
      const x = p.curves.flatMap((c) => c.points.map((q) => acrossOf(p, 90)(q.value)));
      expect(Math.min(...x)).toBeGreaterThanOrEqual(0);
      expect(Math.max(...x)).toBeCloseTo(90, 6);
    }
  });

  it("shows a falling film only where the pipe runs part full", () => {
    expect(panels.some((p) => p.curves.some((c) => c.kind === "dotted"))).toBe(result.status === "surplus");
  });
});

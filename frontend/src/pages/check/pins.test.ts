import { expect, test } from "vitest";
import type { Elevation } from "../../parts/Drawing/model";
import type { Remark } from "./fetch";
import { countOf, named, onPin, partOf, withRemarks, type Places } from "./pins";
import { whatDiffers } from "./Recalculated";

const remark = (kind: Remark["pin"]["kind"], at: string, weight: Remark["weight"] = "note", id = 1): Remark => ({
  ...{ id, design: 1, letter: "A", pin: { kind, at }, weight, text: "x", who: { id: 2, name: "Bo" }, who_left: false },
  ...{ at: "2026-05-03T10:00:00Z", answers: [], laid_to_rest: null, allowed_actions: [] },
});

const places = {
  inputs: [{ at: "/trompe/riser/outlet_m", group: "riser", label: "Level at which the water leaves", text: "1.08 m" }],
  outputs: [{ at: "/head_m", kind: "number", about: "fall used" }],
  report: { build: { parts: [{ at: "/parts/1", role: "chamber", name: "" }] } },
} as unknown as Places;

test("a pin is called as the sheet calls its place, and one that is not there says so", () => {
  expect(named({ kind: "input", at: "/trompe/riser/outlet_m" }, places).name).toBe("riser: Level at which the water leaves");
  expect(named({ kind: "result", at: "/trompe/head_m" }, places).name).toBe("fall used");
  expect(named({ kind: "result", at: "/build/parts/1" }, places).name).toBe("may it be built: Chamber");
  expect(named({ kind: "part", at: "riser" }, places).name).toBe("riser, in the drawing");
  expect(named({ kind: "whole", at: "" }, places).name).toBe("the whole design");
  expect(named({ kind: "input", at: "/trompe/intake/k_in" }, places).name).toBe("trompe, intake, k in, not on this sheet");
});

test("a remark on an input shows at the part that the input belongs to", () => {
  expect(partOf(remark("input", "/trompe/riser/outlet_m"))).toBe("riser");
  expect(partOf(remark("input", "/trompe/n_parallel"))).toBe("intake");
  expect(partOf(remark("input", "/ram/cycle/D"))).toBe("ram");
  expect(partOf(remark("input", "/parts/0/role"))).toBeNull();
  expect(partOf(remark("result", "/trompe/head_m"))).toBeNull();
  expect(partOf(remark("part", "chamber"))).toBe("chamber");
});

test("remarks on one pin are those of the same kind and place", () => {
  const all = [remark("part", "riser"), remark("input", "/trompe/riser/outlet_m", "query"), remark("part", "riser", "stopper")];
  expect(countOf(onPin(all, { kind: "part", at: "riser" }))).toBe("one stopper and one note");
});

test("the drawing frames a stopper as a warning and writes the others as labels, one text for each part", () => {
  const drawing = {
    ...{ frame: { x0: 0, z0: 0, x1: 2, z1: 2 }, columns: [], levels: [], dimensions: [], fittings: [], warnings: [], notes: [], bundle: null },
    labels: [{ id: "l", part: "chamber", text: "chamber", at: [0, 0], side: "left", rank: 2 }],
    shapes: [
      { id: "a", part: "riser", kind: "outline", points: [[1, 0], [1, 2]], closed: false },
      { id: "b", part: "chamber", kind: "outline", points: [[0, 0], [2, 0]], closed: false },
    ],
  } as unknown as Elevation;
  const drawn = withRemarks(drawing, [remark("part", "riser", "stopper"), remark("part", "riser"), remark("part", "chamber", "query"), remark("whole", "")]);
  expect(drawn.warnings.map((w) => [w.part, w.text, w.at])).toEqual([["riser", "one stopper and one note", [1, 1]]]);
  expect(drawn.labels.slice(1).map((l) => [l.part, l.text, l.side])).toEqual([["chamber", "one query", "left"]]);
  expect(drawing.labels).toHaveLength(1); // the sheet itself stays as it is
});

test("what a newer calculation answers otherwise is named", () => {
  expect(whatDiffers({ what: "safety", at: "/build/parts/1/verdict" }, places)).toBe("Chamber: may it be built");
  expect(whatDiffers({ what: "number", at: "/trompe/head_m" }, places)).toBe("Fall used");
  expect(whatDiffers({ what: "number", at: "/gist/gauge_pa" }, places)).toBe("Pressure");
  expect(whatDiffers({ what: "safety", at: "/build/class" }, places)).toBe("Hazard class");
});

import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { compose, type Composition, type Sheet, type Text } from "./compose";
import type { Elevation } from "./model";

// Drawings of the worked machines; "source" in the file says where they come from.
const { drawings } = JSON.parse(readFileSync("src/parts/Drawing/testdata/worked.json", "utf8")) as { drawings: Record<string, Elevation> };

const sizes = [
  { width: 296, height: 200, short: true },
  { width: 366, height: 240, short: true },
  { width: 520, height: 560, short: false },
  { width: 900, height: 700, short: false },
];
const sheet = (size: (typeof sizes)[number]): Sheet => ({
  ...size,
  fontSize: size.short ? 15 : 16,
  measure: (text) => text.length * 16 * 0.58, // on the wide side
  write: (value, quantity) => `${value.toPrecision(3)}\u202F${quantity === "level" || quantity === "length" ? "m" : "bar"}`,
});
const all = Object.entries(drawings).flatMap(([name, drawing]) => sizes.map((size) => [name, size.width, size, drawing] as const));

const over = (a: Text["box"], b: Text["box"]) => a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;
const outside = (c: Composition) => c.texts.filter(({ box: b }) => b.x < 0 || b.y < 0 || b.x + b.width > c.width || b.y + b.height > c.height).map((t) => t.note.id);

describe("an elevation laid out", () => {
  it.each(all)("%s, %i px wide: no text covers another or leaves the frame", (_, __, size, drawing) => {
    const c = compose(drawing, sheet(size));
    expect(c.texts.length).toBeGreaterThan(3);
    expect(outside(c)).toEqual([]);
    const pairs = c.texts.flatMap((a, i) => c.texts.slice(i + 1).filter((b) => over(a.box, b.box)).map((b) => [a.note.id, b.note.id]));
    expect(pairs).toEqual([]);
  });

  it.each(all)("%s, %i px wide: no text lies on the machine, which is whole", (_, __, size, drawing) => {
    const c = compose(drawing, sheet(size));
    const spots = drawing.shapes.flatMap((s) => s.points.map(c.at));
    const [left, right] = [Math.min(...spots.map((s) => s.x)), Math.max(...spots.map((s) => s.x))];
    expect(left).toBeGreaterThanOrEqual(0);
    expect(right).toBeLessThanOrEqual(c.width);
    expect(c.texts.filter(({ box: b }) => b.x < right && b.x + b.width > left).map((t) => t.note.id)).toEqual([]);
  });

  it.each(all)("%s, %i px wide: every warning stays", (_, __, size, drawing) => {
    const parts = new Set(compose(drawing, sheet(size)).texts.filter((t) => t.note.kind === "warning").map((t) => t.note.part));
    expect([...parts].sort()).toEqual([...new Set(drawing.warnings.map((w) => w.part))].sort());
  });

  it("keeps heights true to one scale", () => {
    const drawing = Object.values(drawings)[0];
    const size = sizes[2];
    if (!drawing || !size) {
      throw new Error("no drawing");
    }
    const c = compose(drawing, sheet(size));
    const tall = (a: number, b: number) => c.at([0, a]).y - c.at([0, b]).y;
    expect(tall(0, 1)).toBeCloseTo(2 * tall(0, 0.5), 6);
    expect(tall(0, 1)).toBeCloseTo(c.scale.perMetre, 6);
  });
});

import { readdirSync, readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { bubbles } from "./bubbles";
import { compose, type Composition, type Sheet, type Text } from "./compose";
import type { Elevation } from "./model";
import { paperMetre } from "./scale";

// The machines that the server draws in its own tests.
const goldens = "../calc/draw/testdata";
const drawings = Object.fromEntries(readdirSync(goldens).map((file) => [file.replace(".json", ""), JSON.parse(readFileSync(`${goldens}/${file}`, "utf8")) as Elevation]));

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
    expect(c.texts.length).toBeGreaterThan(size.short ? 1 : 8);
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

  it.each(all)("%s, %i px wide: dimensions beside each other do not cover each other", (_, __, size, drawing) => {
    const { measures } = compose(drawing, sheet(size));
    const pairs = measures.flatMap((a, i) => measures.slice(i + 1).map((b) => [a, b] as const));
    const covered = pairs.filter(([a, b]) => Math.abs(a.x - b.x) < 8 && a.top.y < b.bottom.y && b.top.y < a.bottom.y);
    expect(covered.map(([a, b]) => `${a.id} ${b.id}`)).toEqual([]);
  });

  it("puts numbers beside a machine that is too wide for texts: each once, and every text has one", () => {
    const wide = drawings["pulse"];
    if (!wide) {
      throw new Error("no drawing");
    }
    const c = compose(wide, sheet({ width: 430, height: 560, short: false }));
    expect(c.keyed).toBe(true);
    expect(c.dropped).toBe(0);
    expect(c.texts.map((t) => t.note.lines.join(" "))).toEqual(c.texts.map((_, i) => String(i + 1)));
    const asked = wide.warnings.length + wide.levels.length + wide.dimensions.length + wide.labels.length;
    expect(new Set(c.texts.map((t) => t.note.id)).size).toBe(asked);
    expect(compose(wide, sheet({ width: 900, height: 560, short: false })).keyed).toBe(false);
  });

  it.each(Object.entries(drawings))("%s on paper has a scale of the drawing office, and fits", (_, drawing) => {
    const c = compose(drawing, { ...sheet({ width: 688, height: 640, short: false }), paper: true });
    const n = paperMetre / c.scale.perMetre;
    const first = Number(n.toPrecision(1));
    expect(Math.abs(n - first)).toBeLessThan(1e-6 * n);
    expect(["1", "2", "5"]).toContain(String(first)[0]); // ISO 5455, from memory
    expect(c.at([drawing.frame.x1, drawing.frame.z0]).x).toBeLessThanOrEqual(c.width);
    expect(c.height).toBeLessThanOrEqual(640);
  });

  it("strews twice the bubbles for twice the air, none outside the walls, and the same ones again", () => {
    const pipe = [{ x: 10.3, y: 0 }, { x: 70.3, y: 0 }, { x: 90.3, y: 600 }, { x: 30.3, y: 600 }];
    const count = (share: number) => bubbles(pipe, share).split("M").length - 1;
    expect(count(0)).toBe(0);
    expect(count(0.3) / count(0.15)).toBeGreaterThan(1.8);
    expect(count(0.3) / count(0.15)).toBeLessThan(2.2);
    expect(bubbles(pipe, 0.2)).toBe(bubbles(pipe, 0.2));
    const spots = [...bubbles(pipe, 0.3).matchAll(/M([\d.]+) ([\d.]+)h0/g)].map((m) => ({ x: Number(m[1]), y: Number(m[2]) }));
    expect(spots.length).toBeGreaterThan(100);
    expect(spots.filter(({ x, y }) => x < 10.3 + y / 30 || x > 70.3 + y / 30 || y > 600.5)).toEqual([]);
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

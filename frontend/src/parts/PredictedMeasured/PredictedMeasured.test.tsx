import { describe, expect, it } from "vitest";
import { unitNamed } from "../../units";
import { faultsOf, pageWidths, stage } from "../Plot/stage";
import { crosses, meet, over, placeLabels } from "./labels";
import { layOut } from "./layout";
import { PairsTable, PredictedMeasured, type Pair } from "./PredictedMeasured";

const litres = unitNamed("flow", "L/min");
const q = (perMinute: number) => perMinute / 60_000;
const pair = (tag: string, predicted: number, measured: number, counts: Pair["counts"] = "counted"): Pair => ({
  id: tag,
  tag,
  predicted: { value: q(predicted), low: q(predicted * 0.7), high: q(predicted * 1.3) },
  measured: { value: q(measured), low: q(measured * 0.95), high: q(measured * 1.05) },
  counts,
});
// Invented builds: a crowd about 26 L/min, and some far off.
const few = [pair("T-01", 25.8, 27.1), pair("T-02", 26.5, 24), pair("T-03", 27, 27.5), pair("T-04", 72, 61, "set aside"), pair("T-05", 8.1, 9), pair("T-07", 310, 355), pair("T-08", 28, 20, "not counted")];
const crowd = Array.from({ length: 40 }, (_, i) => pair(`T-${100 + i}`, 20 + (i % 7), 20 + (i % 11)));
const measure = (text: string) => text.length * 16 * 0.58;
const both = [["few", few], ["a crowd", [...few, ...crowd]]] as const;

describe("the places of labels", () => {
  const cases = both.flatMap(([name, pairs]) => pageWidths.map((width) => [name, width, pairs] as const));
  it.each(cases)("%s, %i px: none covers another, a mark or a leader, or leaves the frame", (_, width, pairs) => {
    const l = layOut(pairs, litres, width, measure);
    const inside = ({ box: b }: (typeof l.labels)[number]) => b.x >= l.frame.x && b.y >= l.frame.y && b.x + b.width <= l.frame.x + l.frame.width && b.y + b.height <= l.frame.y + l.frame.height;
    expect(l.labels.filter((x) => !inside(x))).toEqual([]);
    for (const [i, a] of l.labels.entries()) {
      expect(l.crosses.filter((c) => crosses([c.at, { x: c.at.x + 0.1, y: c.at.y }], a.box)).map((c) => c.pair.tag)).toEqual([]);
      expect(l.labels.filter((b) => a !== b && b.leader && crosses(b.leader, a.box)).map((b) => b.id)).toEqual([]);
      expect(l.labels.slice(i + 1).filter((b) => over(a.box, b.box)).map((b) => b.id)).toEqual([]);
    }
    expect(l.labels.length + l.left.length).toBe(pairs.length);
  });

  it.each(pageWidths)("%i px: every tag of a few builds has its place", (width) => {
    expect(layOut(few, litres, width, measure).left).toEqual([]);
  });

  it("leaves out what has no room at all", () => {
    const frame = { x: 0, y: 0, width: 40, height: 20 };
    expect(placeLabels([{ id: "a", at: { x: 20, y: 10 }, width: 38, height: 20 }], frame, [])).toEqual({ labels: [], left: ["a"] });
  });

  it("knows lines that cross from lines that do not", () => {
    const box = { x: 10, y: 10, width: 10, height: 10 };
    expect(crosses([{ x: 0, y: 15 }, { x: 30, y: 15 }], box)).toBe(true);
    expect(crosses([{ x: 0, y: 5 }, { x: 30, y: 5 }], box)).toBe(false);
    expect(crosses([{ x: 0, y: 15 }, { x: 9, y: 15 }], box)).toBe(false);
    expect(crosses([{ x: 15, y: 0 }, { x: 15, y: 12 }], box)).toBe(true);
    expect(crosses([{ x: 0, y: 25 }, { x: 15, y: 40 }], box)).toBe(false);
    expect(meet([{ x: 0, y: 0 }, { x: 10, y: 10 }], [{ x: 0, y: 10 }, { x: 10, y: 0 }])).toBe(true);
    expect(meet([{ x: 0, y: 0 }, { x: 10, y: 10 }], [{ x: 20, y: 0 }, { x: 30, y: 9 }])).toBe(false);
  });
});

describe("predicted against measured", () => {
  it.each(pageWidths)("%i px wide: no text covers another or leaves the picture", (width) => {
    const svg = stage(width, <PredictedMeasured name="Free air delivered" unit={litres} pairs={[...few, ...crowd]} />).querySelector("svg[role=img]");
    expect(faultsOf(svg ?? expect.fail("no picture"))).toEqual([]);
  });

  it("has what came out as predicted on the line, above it what came out higher", () => {
    const l = layOut([pair("even", 10, 10), pair("more", 10, 12), pair("less", 12, 10)], litres, 600, measure);
    const off = l.crosses.map(({ at }) => Math.round((l.frame.y + l.frame.height - at.y - (at.x - l.frame.x)) * 1e6));
    expect(off[0]).toBe(0);
    expect(off[1]).toBeGreaterThan(0);
    expect(off[2]).toBeLessThan(0);
  });

  it("goes by powers of ten where builds span more than 20 to 1, and says so", () => {
    expect(layOut(few, litres, 600, measure).axis.log).toBe(true);
    expect(layOut([pair("a", 10, 10), pair("b", 200, 200)], litres, 600, measure).axis.log).toBe(false);
    expect(stage(600, <PredictedMeasured name="Air" unit={litres} pairs={few} />).textContent).toContain("powers of ten");
  });

  it("keeps an arm that reaches zero inside the frame of such an axis", () => {
    const wide = { ...pair("wide", 8, 9), predicted: { value: q(8), low: q(-2), high: q(18) } };
    const l = layOut([...few, wide], litres, 600, measure);
    const xs = l.crosses.flatMap((c) => c.arms.flat().map((s) => s.x));
    expect(Math.min(...xs)).toBeGreaterThanOrEqual(l.frame.x);
    expect(xs.every(Number.isFinite)).toBe(true);
  });

  it("draws what does not count hollow, strikes what was set aside, and counts all three in words", () => {
    const root = stage(600, <PredictedMeasured name="Air" unit={litres} pairs={few} />);
    const svg = root.querySelector("svg[role=img]");
    expect(svg?.querySelectorAll(".dot").length).toBe(5);
    expect(svg?.querySelectorAll(".ring").length).toBe(2);
    expect(svg?.querySelectorAll(".struck").length).toBe(1);
    expect(root.textContent).toContain("5 counted, 1 set aside, 1 not counted.");
  });

  it("has the same numbers in its table", () => {
    const root = stage(600, <PairsTable unit={litres} pairs={[{ ...pair("T-04", 72, 61, "set aside"), because: "the gauge’s zero had moved" }]} />);
    // 72 × 0.3 = 21.6 and 61 × 0.05 = 3.05, by hand, to two significant digits.
    expect([...root.querySelectorAll("tbody th, tbody td")].map((c) => c.textContent)).toEqual(["T-04", "72 ± 22\u202FL/min", "61.0 ± 3.1\u202FL/min", "set aside: the gauge’s zero had moved"]);
  });

  it("says that nothing was measured yet", () => {
    const root = stage(600, <PredictedMeasured name="Air" unit={litres} pairs={[]} />);
    expect(root.textContent).toContain("Nothing has been measured against a prediction yet.");
    expect(root.querySelector("svg, table")).toBeNull();
  });
});

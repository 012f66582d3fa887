import { describe, expect, it } from "vitest";
import { boxesOf, runsOf, sameBars, type Bar } from "./bars";

// The plans are worked out by hand.
const bar: Bar = {
  item: null,
  length_m: 3,
  cuts: [
    { length_m: 1.2, for: "riser" },
    { length_m: 0.5, for: "air tube" },
    { length_m: 0.5, for: "air tube" },
  ],
  waste_m: 0.016,
  offcut_m: 0.784,
};

describe("bars", () => {
  it("puts equal pieces together", () => {
    expect(runsOf(bar)).toEqual([
      { label: 1, count: 1, length_m: 1.2, for: "riser" },
      { label: 2, count: 2, length_m: 0.5, for: "air tube" },
    ]);
  });

  it("counts bars that are cut alike, from one place", () => {
    const shelf = { ...bar, item: 7 };
    expect(sameBars([shelf, bar, bar]).map((s) => [s.bar.item, s.count])).toEqual([
      [7, 1],
      [null, 2],
    ]);
  });

  it("lays a bar out to scale, from end to end", () => {
    // 10 mm trim, three saw cuts of 2 mm: 0.010 + 1.2 + 0.5 + 0.5 + 3 · 0.002 = 2.216
    const boxes = boxesOf(bar, runsOf(bar), 0.002, 0.01);
    expect(boxes.map((b) => [b.kind, b.label, Number(b.from.toFixed(4)), Number(b.to.toFixed(4))])).toEqual([
      ["waste", null, 0, 0.01],
      ["piece", 1, 0.01, 1.21],
      ["piece", 2, 1.212, 1.712],
      ["piece", 2, 1.714, 2.214],
      ["offcut", null, 2.216, 3],
    ]);
  });
});

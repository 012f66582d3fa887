import type { Schema } from "../../api/client";

export type Bar = Schema<"Bar">;

/** A number of equal pieces beside each other in a bar. */
export interface Run {
  label: number;
  count: number;
  length_m: number;
  for: string;
}

/** Bars that are cut alike. */
export interface Same {
  bar: Bar;
  count: number;
  runs: Run[];
}

/** runsOf puts equal pieces of a bar together and numbers them. */
export function runsOf(bar: Bar): Run[] {
  const runs: Run[] = [];
  for (const c of bar.cuts) {
    const last = runs[runs.length - 1];
    if (last && last.for === c.for && last.length_m === c.length_m) {
      last.count++;
    } else {
      runs.push({ label: runs.length + 1, count: 1, length_m: c.length_m, for: c.for });
    }
  }
  return runs;
}

/** sameBars puts bars together that come from one place and are cut alike. */
export function sameBars(bars: Bar[]): Same[] {
  const all: Same[] = [];
  const text = (bar: Bar) => JSON.stringify([bar.item, bar.length_m, bar.cuts]);
  for (const bar of bars) {
    const known = all.find((s) => text(s.bar) === text(bar));
    if (known) {
      known.count++;
    } else {
      all.push({ bar, count: 1, runs: runsOf(bar) });
    }
  }
  return all;
}

/** A rectangle of the picture of a bar, in m from its left end. */
export interface Box {
  kind: "piece" | "offcut" | "waste";
  from: number;
  to: number;
  label: number | null;
}

/** boxesOf lays a bar out: trim, then the pieces with the saw cuts between, then what remains. */
export function boxesOf(bar: Bar, runs: Run[], kerf: number, trim: number): Box[] {
  const boxes: Box[] = [];
  let at = Math.min(trim, bar.length_m);
  if (at > 0) {
    boxes.push({ kind: "waste", from: 0, to: at, label: null });
  }
  for (const run of runs) {
    for (let i = 0; i < run.count; i++) {
      boxes.push({ kind: "piece", from: at, to: at + run.length_m, label: run.label });
      at += run.length_m + kerf;
    }
  }
  if (bar.offcut_m > 0) {
    boxes.push({ kind: "offcut", from: bar.length_m - bar.offcut_m, to: bar.length_m, label: null });
  }
  return boxes;
}

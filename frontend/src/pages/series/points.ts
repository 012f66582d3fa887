import type { Span } from "../../parts/SeriesChart/span";
import type { Point } from "../../parts/SeriesChart/trace";
import type { Chart } from "./fetch";

/** As many points as a chart has at most. */
export const most_points = 2000;

/** A drawable channel: its points in the base unit of the page, and where nothing was measured. */
export interface Drawable {
  points: Point[];
  gaps: Span[];
}

/** drawable makes points of an answer. A pause of more than two steps is a gap, and so is what has no value; step is the usual distance of two rows in s. */
export function drawable({ t_s, values }: Pick<Chart, "t_s" | "values">, step: number, base: (si: number) => number): Drawable {
  const points: Point[] = [];
  const gaps: Span[] = [];
  const reduced = t_s.length > 2 && step > 0 && ((t_s.at(-1) ?? 0) - (t_s[0] ?? 0)) / step > most_points;
  const pause = reduced || step <= 0 ? Infinity : 2.001 * step;
  let lost = false;
  t_s.forEach((t, i) => {
    const v = values[i] ?? null;
    if (v === null) {
      lost = true;
      return;
    }
    const before = points.at(-1)?.[0];
    if (before !== undefined && (lost || t - before > pause)) {
      gaps.push({ from: before, to: t });
    }
    lost = false;
    points.push([t, base(v), base(v)]);
  });
  return { points, gaps };
}

/** reachOf is the time that an answer covers; null where it has no rows. */
export function reachOf({ t_s }: Pick<Chart, "t_s">): Span | null {
  const [from, to] = [t_s[0], t_s.at(-1)];
  return from === undefined || to === undefined ? null : { from, to: to > from ? to : from + 1 };
}

/** greatestOf is the largest value without its sign: the unit is chosen for it. */
export const greatestOf = (values: (number | null)[]): number => values.reduce((m: number, v) => (v !== null && Math.abs(v) > Math.abs(m) ? v : m), 0);

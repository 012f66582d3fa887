import { holds, overlap, type Span } from "./span";

/** A reduced point of a channel: when, in seconds, and the least and greatest value about then, in the base unit. */
export type Point = readonly [t: number, low: number, high: number];

/** seen are the points in a span and one on either side, so that the trace reaches the frame. */
export function seen(points: readonly Point[], span: Span): readonly Point[] {
  const first = points.findIndex(([t]) => t >= span.from);
  const after = points.findIndex(([t]) => t > span.to);
  if (first < 0) {
    return points.slice(-1);
  }
  return points.slice(Math.max(0, first - 1), after < 0 ? points.length : after + 1);
}

/** runs splits points where a gap lies between two: nothing is drawn across what was not measured. */
export function runs(points: readonly Point[], gaps: readonly Span[]): Point[][] {
  const out: Point[][] = [];
  let last: Point | null = null;
  for (const p of points) {
    const between = last && { from: last[0], to: p[0] };
    if (between && !gaps.some((g) => overlap(g, between))) {
      out.at(-1)?.push(p);
    } else {
      out.push([p]);
    }
    last = p;
  }
  return out;
}

/** outline is the path around a run: along its greatest values and back along its least. */
export function outline(run: Point[], x: (t: number) => number, y: (value: number) => number): string {
  const spot = (t: number, value: number) => `${x(t).toFixed(1)} ${y(value).toFixed(1)}`;
  const there = run.map(([t, , high]) => spot(t, high));
  const back = run.map(([t, low]) => spot(t, low)).reverse();
  return `M${[...there, ...back].join("L")}Z`;
}

export interface Summary {
  least: number;
  greatest: number;
  /** Of the middles of the points, which stand for equal times. */
  mean: number;
}

/** summaryOf gives the least, greatest and middle of what is in a span; null where there is nothing. */
export function summaryOf(points: readonly Point[], span: Span): Summary | null {
  const inside = points.filter(([t]) => holds(span, t));
  if (inside.length === 0) {
    return null;
  }
  return {
    least: inside.reduce((m, [, low]) => Math.min(m, low), Infinity),
    greatest: inside.reduce((m, [, , high]) => Math.max(m, high), -Infinity),
    mean: inside.reduce((sum, [, low, high]) => sum + (low + high) / 2, 0) / inside.length,
  };
}

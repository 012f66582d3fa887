import { fromBase, type Unit } from "../../units";
import { apart, axisOf, shareOf, type Tick } from "../Plot/axis";
import { lengthOf, timeTicks, type Span } from "./span";
import type { Point } from "./trace";

/** The place of a series on the screen, in pixels, and how time and value become pixels. */
export interface Layout {
  width: number;
  height: number;
  left: number;
  right: number;
  top: number;
  bottom: number;
  span: Span;
  x: (t: number) => number;
  /** From the base unit. */
  y: (value: number) => number;
  times: Tick[];
  values: Tick[];
}

/** Room for the name of a span over the plot, and for its dimension line. */
export const lane = 30;
export const textHeight = 16;
const belowPlot = 46; // px: the times, and the bar that says which part of the whole is shown

interface Asked {
  width: number;
  span: Span;
  unit: Unit;
  points: readonly Point[];
  outliers: readonly (readonly [t: number, value: number])[];
  lanes: number;
  measure: (text: string) => number;
}

/** layOut fits a series into the width at hand. */
export function layOut({ width, span, unit, points, outliers, lanes, measure }: Asked): Layout {
  const tall = Math.round(Math.max(170, Math.min(380, width * 0.42)));
  const shown = (value: number) => fromBase(value, unit);
  const axis = axisOf(padded([...points.flatMap(([, low, high]) => [shown(low), shown(high)]), ...outliers.map(([, v]) => shown(v))]), { most: Math.floor(tall / 44) });
  const left = Math.ceil(Math.max(...axis.ticks.map((t) => measure(t.text)))) + 10;
  const right = width - 8;
  const top = textHeight / 2 + lanes * lane;
  const bottom = top + tall;
  const x = (t: number) => left + ((t - span.from) / lengthOf(span)) * (right - left);
  return {
    width,
    height: bottom + belowPlot,
    ...{ left, right, top, bottom, span, x },
    y: (value) => bottom - shareOf(axis, shown(value)) * tall,
    times: apart(timesFor(span, right - left, measure), x, measure, { left: 0, right: width }),
    values: axis.ticks,
  };
}

/** timesFor takes the closest times whose texts keep clear of each other. */
function timesFor(span: Span, width: number, measure: (text: string) => number): Tick[] {
  for (let most = Math.floor(width / 40); most > 2; most--) {
    const ticks = timeTicks(span, most);
    const widest = ticks.reduce((w, t) => Math.max(w, measure(t.text)), 0);
    const step = (ticks[1]?.at ?? span.to) - (ticks[0]?.at ?? span.from);
    if ((step / lengthOf(span)) * width >= widest + 8) {
      return ticks;
    }
  }
  return timeTicks(span, 2);
}

/** padded widens the ends a little, so that no mark lies on the frame. */
function padded(values: number[]): number[] {
  const low = values.reduce((m, v) => Math.min(m, v), Infinity);
  const high = values.reduce((m, v) => Math.max(m, v), -Infinity);
  const by = (high - low) * 0.03;
  return [low - by, high + by];
}

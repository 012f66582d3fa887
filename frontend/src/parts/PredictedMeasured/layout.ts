import { fromBase, type Unit } from "../../units";
import { apart, axisOf, shareOf, type Axis, type Tick } from "../Plot/axis";
import { placeLabels, type Box, type Label, type Spot, type Stroke } from "./labels";
import type { Pair } from "./PredictedMeasured";

/** A pair with its place: the mark, and its arms. */
export interface Cross {
  pair: Pair;
  at: Spot;
  arms: Stroke[];
}

/** The whole picture in pixels. Both axes are the same, so that what came out as predicted lies on the diagonal. */
export interface Layout {
  width: number;
  height: number;
  frame: Box;
  axis: Axis;
  across: Tick[];
  up: Tick[];
  to: (at: number) => Spot;
  crosses: Cross[];
  labels: Label[];
  /** Labels for which there was no room. */
  left: string[];
}

/** The widest it is drawn, in pixels: larger says no more, unless there are many. */
const widest = (count: number) => (count > 20 ? 960 : 640);
const above = 28; // px: the names of the upright axis and of the line
const below = 54; // px: ticks, and the name of the axis along
const lineHeight = 20;

/** layOut fits pairs into the width at hand. */
export function layOut(pairs: readonly Pair[], unit: Unit, room: number, measure: (text: string) => number): Layout {
  const width = Math.min(room, widest(pairs.length));
  const shown = (v: number) => fromBase(v, unit);
  const sides = pairs.flatMap((p) => [p.predicted, p.measured]);
  const axis = axisOf(sides.map((s) => shown(s.value)), { most: Math.max(3, Math.floor(width / 80)), log: true, besides: sides.flatMap((s) => [shown(s.low), shown(s.high)]) });
  const left = Math.ceil(Math.max(...axis.ticks.map((t) => measure(t.text)))) + 12;
  const side = width - left - 2;
  const frame = { x: left, y: above, width: side, height: side };
  const to = (at: number): Spot => ({ x: frame.x + shareOf(axis, at) * side, y: frame.y + (1 - shareOf(axis, at)) * side });
  const crosses = pairs.map((pair) => crossOf(pair, (v) => to(shown(v))));
  const strokes = [...crosses.flatMap((c) => c.arms), [to(axis.low), to(axis.high)] as const];
  const wanting = crosses.map(({ pair, at }) => ({ id: pair.id, at, width: measure(pair.tag), height: lineHeight }));
  return {
    width,
    height: above + side + below,
    ...{ frame, axis, to, crosses },
    ...placeLabels(wanting, frame, strokes),
    across: apart(axis.ticks, (at) => to(at).x, measure, { left: 0, right: width }),
    up: axis.ticks.filter((t, i, all) => i === 0 || to(all[i - 1]?.at ?? 0).y - to(t.at).y >= lineHeight),
  };
}

function crossOf(pair: Pair, to: (v: number) => Spot): Cross {
  const { predicted: p, measured: m } = pair;
  const at = { x: to(p.value).x, y: to(m.value).y };
  return {
    pair,
    at,
    arms: [
      [{ x: to(p.low).x, y: at.y }, { x: to(p.high).x, y: at.y }],
      [{ x: at.x, y: to(m.low).y }, { x: at.x, y: to(m.high).y }],
    ],
  };
}

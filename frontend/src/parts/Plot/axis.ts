import { atPlace } from "../../places";
import { figures } from "../../units";

/** An axis in the unit it is written in: where values lie on it, and what is written along it. */
export interface Axis {
  low: number;
  high: number;
  log: boolean;
  ticks: Tick[];
}

export interface Tick {
  at: number;
  text: string;
}

/** Above this ratio of the greatest to the least an axis goes by powers of ten. */
const widest = 20;

interface Asked {
  /** About so many ticks there is room for, two at least. */
  most: number;
  /** May go by powers of ten where the values span more than 20 to 1. */
  log?: boolean;
  /** What must be on the axis besides, without a say in whether it goes by powers of ten. */
  besides?: number[];
}

/** axisOf makes an axis that holds all values and ends at ticks. Values that are not numbers have no say. */
export function axisOf(values: number[], { most, log = false, besides = [] }: Asked): Axis {
  const known = values.filter(Number.isFinite);
  const spans = known.length > 0 && Math.min(...known) > 0 && Math.max(...known) / Math.min(...known) > widest;
  const all = [...known, ...besides.filter(Number.isFinite)];
  return log && spans ? logAxis(all.filter((v) => v > 0 && v >= Math.min(...known) / 1000), most) : linearAxis(all.length > 0 ? all : [0, 1], most);
}

function linearAxis(values: number[], most: number): Axis {
  const [least, greatest] = [Math.min(...values), Math.max(...values)];
  const room = greatest > least ? greatest - least : Math.abs(least) * 0.1 || 1;
  const mid = (least + greatest) / 2;
  const step = stepOf(room, most);
  const first = Math.floor(round((mid - room / 2) / step));
  const last = Math.max(first + 1, Math.ceil(round((mid + room / 2) / step)));
  const ticks = Array.from({ length: last - first + 1 }, (_, i) => tick((first + i) * step, step));
  return { low: first * step, high: last * step, log: false, ticks };
}

function tick(at: number, step: number): Tick {
  return { at, text: step < 1 ? atPlace(at, Math.floor(Math.log10(step) + 1e-9)) : figures(at, 12) };
}

/** stepOf is the least of 1, 2 and 5 times a power of ten that needs no more steps than asked. */
export function stepOf(span: number, most: number): number {
  const rough = span / Math.max(1, most);
  const power = 10 ** Math.floor(Math.log10(rough));
  return power * ([1, 2, 5].find((n) => n * power >= rough * (1 - 1e-9)) ?? 10);
}

/** Ten times ten per cent is one, not a little more. */
const round = (x: number) => Number(x.toPrecision(12));

function logAxis(values: number[], most: number): Axis {
  const [least, greatest] = [Math.min(...values), Math.max(...values)];
  const decades = [];
  for (let p = Math.floor(Math.log10(least)); p <= Math.ceil(Math.log10(greatest)); p++) {
    decades.push(...[1, 2, 5].map((n) => Number(`${n}e${p}`)));
  }
  const below = decades.filter((d) => d <= least * (1 + 1e-9)).at(-1) ?? least;
  const above = decades.find((d) => d >= greatest * (1 - 1e-9)) ?? greatest;
  const within = decades.filter((d) => d >= below && d <= above);
  const tens = within.filter((d) => /^1e|^10*$|^0\.0*1$/.test(String(d)));
  const few = within.length > most && tens.length >= 2 ? tens : within;
  return { low: below, high: above, log: true, ticks: few.map((at) => ({ at, text: figures(at, 3) })) };
}

/** shareOf says how far along an axis a value lies: 0 at its low end, 1 at its high end. What can't be on it lies at an end. */
export function shareOf({ low, high, log }: Axis, value: number): number {
  const share = log ? Math.log(Math.max(value, 1e-300) / low) / Math.log(high / low) : (value - low) / (high - low);
  return Math.min(1, Math.max(0, share));
}

/** apart leaves out ticks whose texts would cover the one before or leave the frame. */
export function apart(ticks: Tick[], to: (at: number) => number, wide: (text: string) => number, frame: { left: number; right: number }): Tick[] {
  let end = -Infinity;
  return ticks.filter(({ at, text }) => {
    const half = wide(text) / 2;
    const x = to(at);
    if (x - half < Math.max(end + 8, frame.left) || x + half > frame.right) {
      return false;
    }
    end = x + half;
    return true;
  });
}

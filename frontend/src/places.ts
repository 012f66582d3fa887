/**
 * Numbers with the ends of their 95 % intervals. A half width has two
 * significant digits and the value ends at the same place, as JCGM 100:2008,
 * 7.2.6, advises.
 */
import { fromBase, show, withUnit, type Unit } from "./units";

/** The ends of an interval, in the base unit. */
export interface Ends {
  low: number;
  high: number;
  /** Known to one digit only. */
  coarse?: boolean;
}

/**
 * withEnds writes a value with its interval, "25.8 ± 4.1 L/min", without the
 * level. Nothing is written finer than to three figures, or than the given
 * place: a narrower interval is rounded up to one of that place.
 */
export function withEnds(value: number, ends: Ends, unit: Unit, finest?: number): string {
  if (ends.low === ends.high) {
    return show(value, unit, 3);
  }
  const [v, low, high] = [fromBase(value, unit), fromBase(ends.low, unit), fromBase(ends.high, unit)];
  const half = (high - low) / 2;
  const skewed = isSkewed(v, low, high);
  const place = Math.max(placeOf(half, ends.coarse && !skewed ? 1 : 2), finest ?? placeOf(v, 3));
  if (half < 10 ** place) {
    return withUnit(`${atPlace(v, place)} ± ${atPlace(10 ** place, place)}`, unit);
  }
  const number = skewed ? `${atPlace(v, place)}, from ${atPlace(low, place)} to ${atPlace(high, place)}` : `${atPlace(v, place)} ± ${atPlace(half, place)}`;
  return withUnit(number, unit);
}

/**
 * isSkewed says whether "±" would mislead: the two arms differ by more than a
 * quarter of the longer one. Of 512 draws the ends scatter by about a tenth of
 * an arm, so that much is no skew.
 */
export function isSkewed(value: number, low: number, high: number): boolean {
  const [down, up] = [value - low, high - value];
  return Math.abs(up - down) > 0.25 * Math.max(up, down);
}

/** For what is written as finely as its own interval asks for. */
export const finest = -15; // power of ten

/** placeOf gives the power of ten of the last digit of a width rounded to so many significant digits. */
export function placeOf(width: number, digits: number): number {
  const power = Number(width.toExponential(digits - 1).split("e")[1]);
  return power - digits + 1;
}

/** atPlace rounds to a power of ten and writes zeros up to the point, without a minus before zero. */
export function atPlace(n: number, place: number): string {
  const step = 10 ** Math.abs(place);
  const rounded = place < 0 ? Math.round(n * step) / step : Math.round(n / step) * step;
  return (rounded === 0 ? 0 : rounded).toFixed(Math.max(0, -place)).replace("-", "−");
}

/**
 * between writes two ends of a range so that they can be told apart: to two
 * figures of its width or three of the larger end, whichever is finer.
 */
export function between(low: number, high: number, unit: Unit): string {
  const [l, h] = [fromBase(low, unit), fromBase(high, unit)];
  const place = placeBetween(l, h);
  return withUnit(`${trimmed(l, place)} to ${trimmed(h, place)}`, unit);
}

/** among writes a value within a range as finely as the range is written. */
export function among(value: number, low: number, high: number, unit: Unit): string {
  return withUnit(trimmed(fromBase(value, unit), placeBetween(fromBase(low, unit), fromBase(high, unit))), unit);
}

const least = 1e-12;

const placeBetween = (l: number, h: number) => Math.min(placeOf(Math.max(Math.abs(h - l), least), 2), placeOf(Math.max(Math.abs(h), Math.abs(l), least), 3));

const trimmed = (v: number, place: number) => atPlace(v, place).replace(/(\.\d*?)0+$/, "$1").replace(/\.$/, "");

/**
 * Numbers with their 95 % intervals. A half width has two significant digits
 * and the value ends at the same place, as JCGM 100:2008, 7.2.6, advises.
 */
import type { Schema } from "../../api/client";
import type { Units, Use } from "../../system";
import { figures, fromBase, spanOf, withUnit, type Unit } from "../../units";
import type { Numbers } from "./say";

export type Interval = Schema<"Interval">;
export type Share = Schema<"Share">;
export type Uncertainty = Schema<"Uncertainty">;

/** uncertaintyOf gives what came with the save; previews have none. */
export const uncertaintyOf = (n: Numbers): Uncertainty | null => n.uncertainty ?? null;

/**
 * withInterval writes a number with its interval, "25.8 ± 4.1 L/min", without
 * the level. Nothing is written finer than the number alone would be, or than
 * the given place: a narrower interval is rounded up to one of that place.
 */
export function withInterval(value: number, interval: Interval | undefined, use: Use, units: Units, finest?: number): string {
  if (!hasEnds(interval) || interval.low === interval.high) {
    return units.write(value, use);
  }
  const unit = units.shown(value, use);
  const [v, low, high] = [fromBase(value, unit), fromBase(interval.low, unit), fromBase(interval.high, unit)];
  const half = (high - low) / 2;
  const skewed = isSkewed(v, low, high);
  const place = Math.max(placeOf(half, interval.coarse && !skewed ? 1 : 2), finest ?? (use === "level" || use === "length" ? -2 : placeOf(v, 3)));
  if (half < 10 ** place) {
    return withUnit(`${atPlace(v, place)} ± ${atPlace(10 ** place, place)}`, unit);
  }
  const number = skewed
    ? `${atPlace(v, place)}, from ${atPlace(low, place)} to ${atPlace(high, place)}`
    : `${atPlace(v, place)} ± ${atPlace(half, place)}`;
  return withUnit(number, unit);
}

type WithEnds = Interval & { low: number; high: number };

export const hasEnds = (i: Interval | undefined): i is WithEnds => i !== undefined && i.low !== null && i.high !== null;

/**
 * isSkewed says whether "±" would mislead: the two arms differ by more than a
 * quarter of the longer one. Of 512 draws the ends scatter by about a tenth of
 * an arm, so that much is no skew.
 */
export function isSkewed(value: number, low: number, high: number): boolean {
  const [down, up] = [value - low, high - value];
  return Math.abs(up - down) > 0.25 * Math.max(up, down);
}

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

/** halfWidth says how wide an interval is either way: in per cent of the value where that means something, else in its unit. */
export function halfWidth(value: number, width: number, use: Use, unit: Unit): string {
  const relative = use !== "level" && use !== "temperature" && Math.abs(value) > width / 2;
  if (relative) {
    return `±${figures((100 * width) / Math.abs(value), 2)}\u202F%`;
  }
  return `±${withUnit(figures(fromBase(width, spanOf(unit)), 2), unit)}`;
}

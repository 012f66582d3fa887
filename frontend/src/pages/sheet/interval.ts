/** The answers of a sheet with their 95 % intervals. */
import type { Schema } from "../../api/client";
import { withEnds } from "../../places";
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
  return withEnds(value, interval, unit, finest ?? (use === "level" || use === "length" ? -2 : undefined));
}

type WithEnds = Interval & { low: number; high: number };

export const hasEnds = (i: Interval | undefined): i is WithEnds => i !== undefined && i.low !== null && i.high !== null;

/** halfWidth says how wide an interval is either way: in per cent of the value where that means something, else in its unit. */
export function halfWidth(value: number, width: number, use: Use, unit: Unit): string {
  const relative = use !== "level" && use !== "temperature" && Math.abs(value) > width / 2;
  if (relative) {
    return `±${figures((100 * width) / Math.abs(value), 2)}\u202F%`;
  }
  return `±${withUnit(figures(fromBase(width, spanOf(unit)), 2), unit)}`;
}

/**
 * The units of a run: in which a reading is typed, and how a value is written
 * with its uncertainty.
 */
import { atPlace, between, placeOf } from "../../places";
import type { Units, Use } from "../../system";
import { all, fromBase, spanOf, unitNamed, withUnit, type Unit } from "../../units";
import { declared, typedIn, type CalcField } from "../reckoner/measure";
import type { Method } from "./fetch";

/** What has a name, a title and an SI unit: a quantity, a condition, a value. */
export interface Named {
  name: string;
  title: string;
  unit: string;
}

/** asField lets something measured be written and typed as a field of a calculation is. */
export const asField = (m: Named): CalcField => ({ at: m.name, kind: "number", about: m.title, ...(m.unit === "" ? {} : { unit: m.unit }) });

/** keptIn is the unit in which the notebook keeps the values of a reading. */
export const keptIn = (m: Named, method: Method | null): Unit => declared(asField({ ...m, unit: method?.unit || m.unit }));

/** unitsOf are the units that a reading may be typed in. */
export function unitsOf(kept: Unit): Unit[] {
  const own = all.filter((u) => u.quantity === kept.quantity);
  return own.length > 0 ? own : [kept];
}

/** What the scale of an instrument is usually marked in, where that is not what a sheet is drawn in. */
const scales: Record<string, Record<Units["system"], string>> = {
  manometer: { metric: "mm", us: "in", si: "m" },
  notch: { metric: "mm", us: "in", si: "m" },
  orifice: { metric: "mbar", us: "in water", si: "Pa" },
  barometer: { metric: "hPa", us: "inHg", si: "Pa" },
};

/** usualUnit is the unit that bare numbers of a reading are in unless the person says another. */
export function usualUnit(m: Named, method: Method | null, units: Units): Unit {
  const kept = keptIn(m, method);
  const scale = scales[method?.name ?? ""]?.[units.system];
  if (scale !== undefined) {
    return unitNamed(kept.quantity, scale);
  }
  return m.name === "/site/rh" ? unitNamed("number", "%") : typedIn(asField({ ...m, unit: method?.unit || m.unit }), units);
}

/** What is written as a share of a whole. */
const shares = new Set(["efficiency", "/site/rh"]);

/** shownIn is the unit in which a value of this size is written. */
export function shownIn(m: Named, value: number, units: Units): Unit {
  if (shares.has(m.name)) {
    return unitNamed("number", "%");
  }
  const unit = typedIn(asField(m), units);
  const use = useOf(m);
  return use ? units.shown(value, use) : unit;
}

function useOf(m: Named): Use | null {
  const use: Record<string, Use> = { Pa: "pressure", "m³/s": /\bair\b/.test(m.title) ? "free_air" : "flow", m: "length", "°C": "temperature" };
  return use[m.unit] ?? null;
}

/** writeAs writes a value to so many figures in its unit, with the zeros that belong to them. */
function writeAs(value: number, unit: Unit, place: number): string {
  return withUnit(atPlace(fromBase(value, unit), place), unit);
}

/** write writes a value alone, to three figures. */
export function write(m: Named, value: number, units: Units): string {
  const unit = shownIn(m, value, units);
  const v = fromBase(value, unit);
  return writeAs(value, unit, v === 0 ? 0 : Math.min(2, Math.max(placeOf(Math.abs(v), 3), m.unit === "m" ? -3 : -6)));
}

/**
 * writeWith writes a value with what it may be off by at 95 %: the half width
 * has two significant digits and the value ends at the same place, as JCGM
 * 100:2008, 7.2.6, advises.
 */
export function writeWith(m: Named, value: number, half: number, units: Units): string {
  const unit = shownIn(m, value, units);
  const width = Math.abs(fromBase(half, spanOf(unit)));
  if (width === 0) {
    return write(m, value, units);
  }
  const place = placeOf(width, 2);
  return withUnit(`${atPlace(fromBase(value, unit), place)} ± ${atPlace(width, place)}`, unit);
}

/** writeWidth writes a width on the scale of a value, to two figures. */
export function writeWidth(m: Named, value: number, width: number, units: Units): string {
  const unit = spanOf(shownIn(m, value, units));
  const w = Math.abs(fromBase(width, unit));
  return withUnit(w === 0 ? "0" : atPlace(w, placeOf(w, 2)), unit);
}

/** writeBetween writes two limits, either of which may be open. */
export function writeBetween(m: Named, low: number | null, high: number | null, units: Units): string {
  if (low === null || high === null) {
    return low !== null ? `at least ${write(m, low, units)}` : high !== null ? `at most ${write(m, high, units)}` : "";
  }
  return between(low, high, shownIn(m, Math.max(Math.abs(low), Math.abs(high)), units));
}

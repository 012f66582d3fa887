import type { Schema } from "../../api/client";
import type { Units, Use } from "../../system";
import { all, otherUnit, show, toBase, unitNamed, type Quantity, type Unit } from "../../units";
import { writeQuantity } from "../sheet/quantity";

export type CalcField = Schema<"CalcField">;

/** declared is the unit that a calculation takes or gives a field in. */
export function declared(f: CalcField): Unit {
  const name = f.unit ?? "";
  if (name === "") {
    return /, %( |$)/.test(f.about) ? otherUnit("%") : unitNamed("number", "");
  }
  return all.find((u) => u.quantity !== "number" && (u.name === name || u.spellings.includes(name.toLowerCase()))) ?? otherUnit(name.replace(/^1(?=\/)/, ""));
}

/** isAbsolute says whether a pressure counts from vacuum; the trade reads gauges, so such a one is always named. */
export const isAbsolute = (f: CalcField) => f.unit === "Pa" && /\babsolute\b/.test(f.about);

/** typedIn is the unit that a bare number in a field is in. Where the declaration names usual values, it is theirs. */
export function typedIn(f: CalcField, units: Units): Unit {
  const use = namesValues(f) ? null : useOf(f);
  const unit = use ? units.typed(use) : declared(f);
  return isAbsolute(f) ? { ...unit, name: `${unit.name} abs` } : unit;
}

/** namesValues says whether the line about a field has values without a unit behind its label: they are in that of the declaration. */
function namesValues(f: CalcField): boolean {
  const tail = /[:;](.*)$/.exec(f.about)?.[1] ?? "";
  return [...tail.matchAll(/(?<![\w.])(\d[\d.]*(?:e\d+)?)\s?([^\s,;]*)/g)].some(([, value, next = ""]) => value !== "0" && !/^(°C|K|m|mm|bar|Pa|J|%)$/.test(next));
}

function useOf(f: CalcField): Use | null {
  const about = f.about;
  switch (f.unit) {
    case "m":
      return /bore|diameter|wall|thickness|saw cut|uncertainty/.test(about) ? "bore" : "length";
    case "m²":
      return /hole|orifice|opening|disc|bore/.test(about) ? "section" : "area";
    case "m³":
      return "volume";
    case "m³/s":
      return /\bair\b/.test(about) ? "free_air" : "flow";
    case "m/s":
      return "speed";
    case "Pa":
      return /modulus|stiffness|stress/.test(about) ? null : "pressure";
    case "K":
    case "°C":
      return isTemperature(f) ? "temperature" : null;
  }
  return null;
}

/** isTemperature tells a temperature from a difference of two. */
const isTemperature = (f: CalcField) => f.unit === "°C" || (/temperature|cold/.test(f.about) && !/uncertainty|warmer/.test(f.about));

const si: Partial<Record<Quantity, string>> = { length: "m", area: "m²", volume: "m³", flow: "m³/s", pressure: "Pa", speed: "m/s", temperature: "°C" };

/** write writes a value of a calculation in the reader's units. */
export function write(f: CalcField, value: number, units: Units): string {
  const unit = declared(f);
  const base = toBase(value, unit);
  const as = si[unit.quantity];
  if ((f.unit === "K" && !isTemperature(f)) || as === undefined || /modulus|stiffness/.test(f.about)) {
    return show(base, larger(unit, base), unit.quantity === "number" ? 4 : 3);
  }
  if (as === "m") {
    return show(base, units.shown(base, Math.abs(base) < 0.25 ? "bore" : "length"), 4); // to the millimetre where a saw goes by it
  }
  if (as === "Pa" && units.system === "metric" && Math.abs(base) < 1000 && base !== 0) {
    return show(base, unitNamed("pressure", "Pa"), 3);
  }
  return writeQuantity(base, as, isAbsolute(f) ? "/p" : /\bair\b|leak/.test(f.about) ? "/free_air" : "/of", units);
}

/** larger is the unit for long times and large energies. */
function larger(unit: Unit, base: number): Unit {
  if (unit.name === "s" && Math.abs(base) >= 120) {
    return unitNamed("time", Math.abs(base) < 7200 ? "min" : "h");
  }
  return unit.name === "J" && Math.abs(base) >= 1e4 ? unitNamed("energy", "kJ") : unit;
}

/** The units of a series: the notebook keeps channels in SI, temperatures in kelvin; pages write what members read. */
import type { Units, Use } from "../../system";
import { figures, fromBase, otherUnit, show, spanOf, unitNamed, withUnit, type Unit } from "../../units";

const kelvin = 273.15; // K at 0 °C, exact

/** How the values of a channel are written. */
export interface Scale {
  unit: Unit;
  /** The value in the base unit of its quantity, as the page keeps it. */
  base: (si: number) => number;
  /** A value with its unit, to so many figures. */
  write: (si: number, significant?: number) => string;
  /** A width with its unit, to two figures. */
  width: (si: number) => string;
}

const uses: Record<string, Use> = { Pa: "pressure", K: "temperature", "m3/s": "flow", m: "length", m3: "volume" };

/** Where a ruler says millimetres a level says them too. */
const short_m = 1;

/** scaleOf finds the unit in which a channel of this SI unit and size is written. */
export function scaleOf(si: string, size: number, units: Units): Scale {
  const unit = unitOf(si, size, units);
  const base = (v: number) => (si === "K" ? Number((v - kelvin).toPrecision(12)) : v);
  return {
    unit,
    base,
    write: (v, significant = 4) => show(base(v), unit, significant),
    width: (v) => withUnit(figures(fromBase(Math.abs(v), spanOf(unit)), 2), unit),
  };
}

function unitOf(si: string, size: number, units: Units): Unit {
  const use = uses[si];
  if (use !== undefined) {
    return use === "length" && Math.abs(size) < short_m ? units.typed("bore") : units.shown(si === "K" ? size - kelvin : size, use);
  }
  return si === "1" ? unitNamed("number", "") : otherUnit(si === "1/s" ? "Hz" : si);
}

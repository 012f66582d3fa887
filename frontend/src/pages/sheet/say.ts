import type { Schema } from "../../api/client";
import type { Measure } from "../../parts/Drawing/model";
import { figures, fromBase, unitNamed, type Unit } from "../../units";

export type Result = NonNullable<Schema<"Report">["trompe"]>;
export type Numbers = Schema<"TrompeNumbers">;

/** What a number of a machine measures; the unit it is shown in follows from it. */
export type Shown = Measure | "level" | "percent";

export const thin = "\u202F";

/** unitFor is the unit in which a value of this size is shown. */
export function unitFor(value: number, quantity: Shown): Unit {
  switch (quantity) {
    case "level":
    case "length":
      return unitNamed("length", "m");
    case "bore":
      return unitNamed("length", value < 1 ? "mm" : "m");
    case "area":
      return unitNamed("area", "m²");
    case "pressure":
      return unitNamed("pressure", "bar");
    case "flow":
    case "free_air":
      // Shafts of mines take a second where garden pipes take a minute.
      return unitNamed("flow", value < 0.1 ? "L/min" : "m³/s");
    case "percent":
      return unitNamed("number", "%");
    default:
      return unitNamed("number", "");
  }
}

/** write puts a quantity of a machine into the units of the page: levels to the hundredth, the rest to three figures. */
export function write(value: number, quantity: Shown): string {
  const unit = unitFor(value, quantity);
  const number = fromBase(value, unit);
  const inMetres = quantity === "level" || quantity === "length";
  return withUnit(inMetres ? number.toFixed(2).replace("-", "−") : figures(number, 3), unit);
}

export const withUnit = (number: string, unit: Unit) => (unit.name === "" ? number : `${number}${thin}${unit.name}`);

export const hasNumbers = (r: Result): r is Numbers => "water_flow_m3s" in r;

/** gist says a result in one sentence. */
export function gist(r: Result): string {
  if (!hasNumbers(r)) {
    return r.message;
  }
  const water = write(r.water_flow_m3s, "flow");
  if (r.free_air_delivered_m3s <= 0) {
    return `No air delivered, with ${water} of water.`;
  }
  return `${write(r.free_air_delivered_m3s, "free_air")} of free air at ${write(r.chamber_gauge_pa, "pressure")}, using ${water} of water.`;
}

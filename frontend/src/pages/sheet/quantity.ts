import type { Units } from "../../system";
import { figures, fromBase, unitNamed, withUnit } from "../../units";

/** Units that a few results have in every system. */
const plain: Record<string, string> = { "": "", "°": "°", s: "s", min: "min", h: "h", W: "W", Wh: "Wh", "°C": "°C", K: "K", kg: "kg", N: "N" };

/**
 * writeQuantity writes a value of a named calculation in the reader's units.
 * Pressures of these families are absolute unless their name says gauge; the
 * trade reads gauges, so an absolute one says so.
 */
export function writeQuantity(value: number, unit: string, at: string, units: Units): string {
  switch (unit) {
    case "m":
      return Math.abs(value) < 0.25 ? units.write(value, "bore") : units.write(value, "length");
    case "m²":
      return Math.abs(value) < 0.01 ? units.write(value, "section") : units.write(value, "area");
    case "m³/s":
      return units.write(value, /air|free|load/i.test(at) ? "free_air" : "flow");
    case "m/s":
      return units.write(value, "speed");
    case "Pa":
      return units.write(value, "pressure") + (isAbsolute(at) ? " abs" : "");
    case "°C":
      return units.write(value, "temperature");
    case "m³":
      return volume(value, units);
    case "J":
      return energy(value);
  }
  return withUnit(figures(value, 3), { name: plain[unit] ?? unit, quantity: "number", mul: 1, div: 1, shift: 0, spellings: [] });
}

const isAbsolute = (at: string) => /\/(p|p1|p2|p_min|p_static|p_joukowsky|p_deadend|p2_corrected|p2_corr_abs_pa)$/.test(at);

function volume(value: number, units: Units): string {
  const unit = units.system === "us" ? unitNamed("volume", "US gal") : units.system === "si" || Math.abs(value) >= 1 ? unitNamed("volume", "m³") : unitNamed("volume", "L");
  return withUnit(figures(fromBase(value, unit), 3), unit);
}

/** energy goes by what it is to be set against: a spark in joules, a battery in watt hours. */
function energy(value: number): string {
  const [size, name] = Math.abs(value) < 3600 ? [value, "J"] : Math.abs(value) < 3.6e6 ? [value / 3600, "Wh"] : [value / 3.6e6, "kWh"];
  return withUnit(figures(size, 3), { name, quantity: "number", mul: 1, div: 1, shift: 0, spellings: [] });
}

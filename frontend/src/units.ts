/**
 * The units that people write. The server has SI (and °C for temperatures)
 * only; the workshop has bar, litres a minute and inches. This is the one place
 * that converts, by exact factors. What is typed is read in typed.ts; which
 * member sees which units stands in system.ts.
 */

/** A kind of quantity; each has one base unit, in which the server keeps it. */
export type Quantity = "length" | "flow" | "pressure" | "temperature" | "angle" | "area" | "speed" | "volume" | "power" | "time" | "energy" | "number" | "other";

/** A unit: base = (typed + shift) · mul / div, both exact where the definition is. */
export interface Unit {
  /** As shown after a number. */
  name: string;
  quantity: Quantity;
  mul: number;
  div: number;
  shift: number;
  /** Other ways people write it, in lower case. */
  spellings: string[];
}

const inch = 0.0254; // m, exact by definition of 1959
const foot = 0.3048; // m, exact
const usGallon = 3.785411784e-3; // m³, exact: 231 in³
const imperialGallon = 4.54609e-3; // m³, exact
const gravity = 9.80665; // m/s², exact standard value
const pound = 0.45359237; // kg, exact

function unit(quantity: Quantity, name: string, mul: number, div = 1, spellings: string[] = [], shift = 0): Unit {
  return { name, quantity, mul, div, shift, spellings };
}

export const all: Unit[] = [
  unit("length", "m", 1, 1, ["metre", "metres", "meter", "meters"]),
  unit("length", "cm", 1, 100),
  unit("length", "mm", 1, 1000, ["millimetre", "millimetres", "millimeter", "millimeters"]),
  unit("length", "µm", 1, 1e6, ["um", "μm", "micron", "microns"]),
  unit("length", "km", 1000),
  unit("length", "ft", foot, 1, ["'", "’", "′", "foot", "feet", "ft."]),
  unit("length", "in", inch, 1, ['"', "″", "”", "“", "''", "’’", "′′", "inch", "inches", "in."]),
  unit("length", "yd", 3 * foot, 1, ["yard", "yards"]),
  unit("flow", "m³/s", 1, 1, ["m3/s", "cumec", "cumecs"]),
  unit("flow", "L/s", 1, 1000, ["lps", "l/sec"]),
  unit("flow", "L/min", 1, 60_000, ["lpm", "ltr/min", "litres/min", "liters/min"]),
  unit("flow", "L/h", 1, 3_600_000, ["lph", "l/hr"]),
  unit("flow", "m³/h", 1, 3600, ["m3/h", "m3/hr"]),
  unit("flow", "US gal/min", usGallon, 60, ["gpm", "usgpm", "gal/min"]),
  unit("flow", "US gal/h", usGallon, 3600, ["gph", "gal/h", "gal/hr"]),
  unit("flow", "imp gal/min", imperialGallon, 60, ["igpm"]),
  unit("flow", "ft³/s", foot ** 3, 1, ["ft3/s", "cfs", "cusec", "cusecs"]),
  unit("flow", "cfm", foot ** 3, 60, ["ft³/min", "ft3/min"]),
  unit("pressure", "Pa", 1),
  unit("pressure", "hPa", 100),
  unit("pressure", "kPa", 1000),
  unit("pressure", "MPa", 1e6),
  unit("pressure", "GPa", 1e9),
  unit("pressure", "mbar", 100, 1, ["mb"]),
  unit("pressure", "bar", 1e5, 1, ["bars", "barg", "bar(g)"]),
  unit("pressure", "psi", (pound * gravity) / inch ** 2, 1, ["psig", "psi(g)", "lb/in²", "lb/in2", "lbf/in²", "lbf/in2"]),
  unit("pressure", "m water", 1000 * gravity, 1, ["mh2o", "mh₂o", "mwater", "mwc", "mofwater"]),
  unit("pressure", "ft water", 1000 * gravity * foot, 1, ["fth2o", "fth₂o", "ftofwater"]),
  unit("pressure", "in water", 1000 * gravity * inch, 1, ["inh2o", "inh₂o", "inofwater", "inwc"]),
  unit("pressure", "mmHg", 13_595.1 * gravity, 1000, ["mmofmercury", "torr"]),
  unit("pressure", "inHg", 13_595.1 * gravity * inch, 1, ["inofmercury"]),
  unit("temperature", "°C", 1, 1, ["c", "degc", "ºc", "celsius"]),
  unit("temperature", "°F", 5, 9, ["f", "degf", "ºf", "fahrenheit"], -32),
  unit("temperature", "K", 1, 1, [], -273.15),
  unit("angle", "°", 1, 1, ["deg"]),
  unit("area", "m²", 1, 1, ["m2", "sqm"]),
  unit("area", "cm²", 1, 1e4, ["cm2", "sqcm"]),
  unit("area", "mm²", 1, 1e6, ["mm2", "sqmm"]),
  unit("area", "ft²", foot ** 2, 1, ["ft2", "sqft"]),
  unit("area", "in²", inch ** 2, 1, ["in2", "sqin"]),
  unit("speed", "m/s", 1),
  unit("speed", "ft/s", foot, 1, ["fps"]),
  unit("volume", "m³", 1, 1, ["m3"]),
  unit("volume", "L", 1, 1000, ["litre", "litres", "liter", "liters"]),
  unit("volume", "US gal", usGallon, 1, ["gal", "gallon", "gallons"]),
  unit("power", "W", 1),
  unit("power", "kW", 1000),
  unit("power", "hp", 550 * foot * pound * gravity),
  unit("time", "s", 1, 1, ["sec"]),
  unit("time", "min", 60),
  unit("time", "h", 3600),
  unit("energy", "J", 1),
  unit("energy", "kJ", 1000),
  unit("energy", "Wh", 3600),
  unit("energy", "kWh", 3.6e6),
  unit("number", "", 1),
  unit("number", "%", 1, 100),
];

/** otherUnit is a unit that nothing is converted to or from. */
export const otherUnit = (name: string): Unit => unit("other", name, 1);

/** unitNamed finds a unit by the name it is shown with. */
export function unitNamed(quantity: Quantity, name: string): Unit {
  const found = all.find((u) => u.quantity === quantity && u.name === name);
  if (!found) {
    throw new Error(`no unit ${name} of ${quantity}`);
  }
  return found;
}

/** toBase converts a number in a unit to the base unit of its quantity. */
export function toBase(typed: number, u: Unit): number {
  return ((typed + u.shift) * u.mul) / u.div;
}

/** fromBase converts a number in the base unit to the given unit. */
export function fromBase(base: number, u: Unit): number {
  return (base * u.div) / u.mul - u.shift;
}

/** asTyped writes a kept value the way a person would type it in this unit, without loss that matters. */
export function asTyped(base: number | null | undefined, u: Unit): string {
  return base === null || base === undefined ? "" : String(Number(fromBase(base, u).toPrecision(12)));
}

/** spanToBase converts a width, such as a tolerance: the zero of a scale has no part in it. */
export function spanToBase(typed: number, u: Unit): number {
  return (typed * u.mul) / u.div;
}

/** spanOf is the unit for widths on the scale of another. */
export function spanOf(u: Unit): Unit {
  return u.shift === 0 ? u : { ...u, shift: 0 };
}

const superscript: Record<string, string> = { "-": "⁻", "0": "⁰", "1": "¹", "2": "²", "3": "³", "4": "⁴", "5": "⁵", "6": "⁶", "7": "⁷", "8": "⁸", "9": "⁹" };

/**
 * figures writes a number with at most the given count of significant figures
 * and no needless zeros, digits in groups of three from ten thousand on, and
 * by a power of ten below a ten-thousandth and from a hundred million on.
 */
export function figures(n: number, significant = 4): string {
  const size = Math.abs(Number(n.toPrecision(significant)));
  const sign = n < 0 && size > 0 ? "−" : "";
  if (size >= 1e8 || (size > 0 && size < 1e-4)) {
    const [digits = "", power = ""] = size.toExponential().split("e");
    return `${sign}${digits} × 10${power.replace("+", "").replace(/[-\d]/g, (c) => superscript[c] ?? "")}`;
  }
  const plain = size.toLocaleString("en", { maximumSignificantDigits: significant, useGrouping: false });
  return sign + (size < 10_000 ? plain : plain.replace(/^\d+/, (whole) => whole.replace(/\B(?=(\d{3})+$)/g, "\u202F")));
}

/** show writes a kept value with its unit after a thin space that does not break. */
export function show(base: number, u: Unit, significant = 4): string {
  return withUnit(figures(fromBase(base, u), significant), u);
}

/** withUnit puts a unit after a number that is written already. */
export function withUnit(number: string, u: Unit): string {
  return u.name === "" ? number : u.name === "°" ? `${number}°` : `${number}\u202F${u.name}`;
}

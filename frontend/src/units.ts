/**
 * What people type, and what the server wants. The server has SI (and °C for
 * temperatures) only; the workshop has bar, litres a minute and inches. This
 * is the one place that converts, by exact factors.
 */

/** A kind of quantity; each has one base unit, in which the server keeps it. */
export type Quantity = "length" | "flow" | "pressure" | "temperature" | "angle" | "area" | "volume" | "power" | "time" | "number";

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

const all: Unit[] = [
  unit("length", "m", 1, 1, ["metre", "metres", "meter", "meters"]),
  unit("length", "cm", 1, 100),
  unit("length", "mm", 1, 1000),
  unit("length", "µm", 1, 1e6, ["um", "μm"]),
  unit("length", "km", 1000),
  unit("length", "ft", foot, 1, ["'", "foot", "feet", "′"]),
  unit("length", "in", inch, 1, ['"', "inch", "inches", "″", "”"]),
  unit("flow", "m³/s", 1, 1, ["m3/s"]),
  unit("flow", "L/s", 1, 1000, ["lps"]),
  unit("flow", "L/min", 1, 60_000, ["lpm"]),
  unit("flow", "L/h", 1, 3_600_000),
  unit("flow", "m³/h", 1, 3600, ["m3/h"]),
  unit("flow", "US gal/min", usGallon, 60, ["gpm", "gal/min"]),
  unit("flow", "imp gal/min", imperialGallon, 60),
  unit("flow", "ft³/s", foot ** 3, 1, ["ft3/s", "cfs"]),
  unit("flow", "ft³/min", foot ** 3, 60, ["ft3/min", "cfm"]),
  unit("pressure", "Pa", 1),
  unit("pressure", "hPa", 100),
  unit("pressure", "kPa", 1000),
  unit("pressure", "MPa", 1e6),
  unit("pressure", "mbar", 100),
  unit("pressure", "bar", 1e5),
  unit("pressure", "psi", (pound * gravity) / inch ** 2, 1, ["lb/in²", "lb/in2"]),
  unit("pressure", "m water", 1000 * gravity, 1, ["mh2o", "mwater"]),
  unit("temperature", "°C", 1, 1, ["c", "degc", "ºc"]),
  unit("temperature", "°F", 5, 9, ["f", "degf", "ºf"], -32),
  unit("temperature", "K", 1, 1, [], -273.15),
  unit("angle", "°", 1, 1, ["deg"]),
  unit("area", "m²", 1, 1, ["m2"]),
  unit("area", "cm²", 1, 1e4, ["cm2"]),
  unit("area", "mm²", 1, 1e6, ["mm2"]),
  unit("area", "ft²", foot ** 2, 1, ["ft2"]),
  unit("volume", "m³", 1, 1, ["m3"]),
  unit("volume", "L", 1, 1000, ["litre", "litres", "liter", "liters"]),
  unit("volume", "US gal", usGallon, 1, ["gal"]),
  unit("power", "W", 1),
  unit("power", "kW", 1000),
  unit("time", "s", 1, 1, ["sec"]),
  unit("time", "min", 60),
  unit("time", "h", 3600),
  unit("number", "", 1),
  unit("number", "%", 1, 100),
];

/** unitNamed finds a unit by the name it is shown with. */
export function unitNamed(quantity: Quantity, name: string): Unit {
  const found = all.find((u) => u.quantity === quantity && u.name === name);
  if (!found) {
    throw new Error(`no unit ${name} of ${quantity}`);
  }
  return found;
}

/** What a field made of its text. */
export type Understood =
  | { kind: "empty" }
  | { kind: "value"; base: number; typed: number; unit: Unit }
  | { kind: "unclear"; message: string };

/**
 * understand reads "2.6", "2,6", "3/4 in", "1 1/2 in", "15 psi". Without a
 * unit of its own the text is in the given one.
 */
export function understand(text: string, given: Unit): Understood {
  const trimmed = text.trim().replace(/\s+/g, " ");
  if (trimmed === "") {
    return { kind: "empty" };
  }
  const parts = /^([+\-−]?[\d.,/ ’']*[\d.,](?:[eE][+-]?\d+)?)\s*(.*)$/.exec(trimmed);
  const [, digits = "", word = ""] = parts ?? [];
  const typed = readNumber(digits.trim());
  if (typed === null) {
    return { kind: "unclear", message: whyUnclear(trimmed, given) };
  }
  const own = word === "" ? given : spelled(given.quantity, word);
  if (!own) {
    return { kind: "unclear", message: unknownUnit(word, given) };
  }
  const base = toBase(typed, own);
  return Number.isFinite(base)
    ? { kind: "value", base, typed, unit: own }
    : { kind: "unclear", message: "This number is too large to be meant." };
}

function spelled(quantity: Quantity, word: string): Unit | undefined {
  const exact = all.find((u) => u.quantity === quantity && u.name === word);
  const loose = word.toLowerCase().replace(/\s/g, "");
  return (
    exact ??
    all.find(
      (u) => u.quantity === quantity && (u.name.toLowerCase().replace(/\s/g, "") === loose || u.spellings.includes(loose)),
    )
  );
}

function unknownUnit(word: string, given: Unit): string {
  const known = all.filter((u) => u.quantity === given.quantity && u.name !== "").map((u) => u.name);
  return known.length === 0
    ? `Type a plain number here, without “${word}”.`
    : `“${word}” is not a unit known here. Known: ${known.join(", ")}.`;
}

function whyUnclear(text: string, given: Unit): string {
  if (text.includes(",") && text.includes(".")) {
    return `“${text}” has both a comma and a point. Type one decimal sign and no thousands sign.`;
  }
  return `“${text}” is not a number. Type one such as 2.6${given.name === "" ? "" : ` or 2,6 ${given.name}`}.`;
}

/** readNumber reads a decimal with point or comma, groups of three parted by spaces, or a workshop fraction. */
export function readNumber(text: string): number | null {
  const plain = text.replace("−", "-");
  const mixed = /^([+-]?)(?:(\d+) )?(\d+)\/(\d+)$/.exec(plain);
  if (mixed) {
    const [, sign = "", whole = "0", over = "0", under = "0"] = mixed;
    const size = Number(whole) + Number(over) / Number(under);
    return Number(under) === 0 ? null : sign === "-" ? -size : size;
  }
  const joined = /^[+-]?\d{1,3}( \d{3})+([.,]\d+)?$/.test(plain) ? plain.replaceAll(" ", "") : plain;
  if (!/^[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?$/.test(joined)) {
    return null;
  }
  return Number(joined.replace(",", "."));
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

/** figures writes a number with at most the given count of significant figures and no needless zeros. */
export function figures(n: number, significant = 4): string {
  const rounded = Number(n.toPrecision(significant));
  return rounded.toLocaleString("en", { maximumSignificantDigits: significant, useGrouping: false }).replace("-", "−");
}

/** show writes a kept value with its unit after a thin space that does not break. */
export function show(base: number, u: Unit, significant = 4): string {
  const number = figures(fromBase(base, u), significant);
  return u.name === "" ? number : u.name === "°" ? `${number}°` : `${number}\u202F${u.name}`;
}

/**
 * The systems of units that a member may choose from, and what stands in which
 * unit in each. Pages ask useUnits for the one in force.
 */
import { useSession, type Units as System } from "./api/session";
import { figures, fromBase, unitNamed, withUnit, type Unit } from "./units";

/** What a number is, as far as its unit goes: a level and a bore are both lengths, but a bore is in millimetres. */
export type Use = "level" | "length" | "bore" | "area" | "section" | "pressure" | "flow" | "free_air" | "volume" | "temperature" | "speed" | "percent" | "ratio";

/** The unit of a use; from a size on, what is shown is in a larger one. */
interface Choice {
  unit: Unit;
  large?: Unit;
  from?: number;
}

const plain = { unit: unitNamed("number", "") };
const percent = { unit: unitNamed("number", "%") };
const m = unitNamed("length", "m");
const ft = unitNamed("length", "ft");
const inch = unitNamed("length", "in");
const m2 = unitNamed("area", "m²");
const m3s = unitNamed("flow", "m³/s");
const celsius = { unit: unitNamed("temperature", "°C") };
// Shafts of mines take a second where garden pipes take a minute.
const litres = { unit: unitNamed("flow", "L/min"), large: m3s, from: 0.1 };

const choices: Record<System, Record<Use, Choice>> = {
  metric: {
    ...{ level: { unit: m }, length: { unit: m }, bore: { unit: unitNamed("length", "mm"), large: m, from: 1 } },
    ...{ area: { unit: m2 }, section: { unit: unitNamed("area", "mm²") }, pressure: { unit: unitNamed("pressure", "bar") } },
    ...{ flow: litres, free_air: litres, volume: { unit: unitNamed("volume", "L"), large: unitNamed("volume", "m³"), from: 1 }, temperature: celsius, speed: { unit: unitNamed("speed", "m/s") }, percent, ratio: plain },
  },
  us: {
    ...{ level: { unit: ft }, length: { unit: ft }, bore: { unit: inch, large: ft, from: 1 } },
    ...{ area: { unit: unitNamed("area", "ft²") }, section: { unit: unitNamed("area", "in²") }, pressure: { unit: unitNamed("pressure", "psi") } },
    ...{ flow: { unit: unitNamed("flow", "US gal/min"), large: unitNamed("flow", "ft³/s"), from: 0.1 }, free_air: { unit: unitNamed("flow", "cfm") } },
    ...{ volume: { unit: unitNamed("volume", "US gal") }, temperature: { unit: unitNamed("temperature", "°F") }, speed: { unit: unitNamed("speed", "ft/s") }, percent, ratio: plain },
  },
  si: {
    ...{ level: { unit: m }, length: { unit: m }, bore: { unit: m }, area: { unit: m2 }, section: { unit: m2 } },
    ...{ pressure: { unit: unitNamed("pressure", "Pa") }, flow: { unit: m3s }, free_air: { unit: m3s }, volume: { unit: unitNamed("volume", "m³") }, temperature: celsius },
    ...{ speed: { unit: unitNamed("speed", "m/s") }, percent, ratio: plain },
  },
};

/** Units are one system: which unit, and the writing of a value in it. */
export interface Units {
  system: System;
  /** The unit that a bare number is typed in. */
  typed: (use: Use) => Unit;
  /** The unit that a value of this size is shown in. */
  shown: (value: number, use: Use) => Unit;
  /** A value with its unit: levels and lengths to the hundredth, the rest to three figures. */
  write: (value: number, use: Use) => string;
  /** For the title block. */
  line: string;
}

function unitsOf(system: System): Units {
  const of = choices[system];
  const shown = (value: number, use: Use): Unit => {
    const { unit, large, from = Infinity } = of[use];
    return large && Math.abs(value) >= from ? large : unit;
  };
  const write = (value: number, use: Use): string => {
    const unit = shown(value, use);
    const number = fromBase(value, unit);
    return withUnit(use === "level" || use === "length" ? number.toFixed(2).replace("-", "−") : figures(number, 3), unit);
  };
  const names = (["level", "bore", "pressure", "flow", "free_air"] as const).map((use) => of[use].unit.name);
  return { system, typed: (use) => of[use].unit, shown, write, line: [...new Set(names)].join(", ") };
}

const systems: Record<System, Units> = { metric: unitsOf("metric"), us: unitsOf("us"), si: unitsOf("si") };

/** unitsIn gives a system by its name; metric for a name that is none. */
export function unitsIn(name: string | undefined): Units {
  return name === "us" || name === "si" ? systems[name] : systems.metric;
}

/** otherThan is the system to say a value in as well. */
export function otherThan(units: Units): Units {
  return units.system === "metric" ? systems.us : systems.metric;
}

/** useUnits gives the units that the member chose, or the group. */
export function useUnits(): Units {
  const session = useSession();
  return unitsIn("member" in session ? session.member.units : undefined);
}

/**
 * textFor writes a kept value as one would type it: bare in the unit beside the
 * field where it is round in that, else round in the other unit, which is then
 * named. A pipe bought as 63 mm stays one for who thinks in inches.
 */
export function textFor(base: number, own: Unit, other: Unit): string {
  const inOwn = fromBase(base, own);
  const inOther = fromBase(base, other);
  return isRound(inOwn) || !isRound(inOther) ? String(round(inOwn, isRound(inOwn) ? 6 : 12)) : `${round(inOther, 6)} ${other.name}`;
}

const round = (x: number, figures: number) => Number(x.toPrecision(figures));

/** Kept values have twelve figures: the twelfth may come from the way there and back. */
const isRound = (x: number) => round(x, 11) === round(x, 6);

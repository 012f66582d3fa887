import { fromBase, type Unit } from "../../units";
import { apart, axisOf, shareOf, type Tick } from "../Plot/axis";
import type { Confrontation } from "./Confronted";

/** Rows of one quantity in one unit: they share an axis. */
export interface Group {
  quantity: string;
  unit: Unit;
  rows: Confrontation[];
}

/** groupsOf gathers rows of the same quantity and unit, in the order in which the first of each comes. */
export function groupsOf(rows: readonly Confrontation[]): Group[] {
  const groups: Group[] = [];
  for (const row of rows) {
    const group = groups.find((g) => g.quantity === row.quantity && g.unit.name === row.unit.name);
    if (group) {
      group.rows.push(row);
    } else {
      groups.push({ quantity: row.quantity, unit: row.unit, rows: [row] });
    }
  }
  return groups;
}

/** An axis for all rows of a group: where values lie, in pixels, and what is written below. */
export interface Across {
  /** From the base unit. */
  x: (value: number) => number;
  /** Of a tick, which is in the unit written. */
  tickX: (at: number) => number;
  ticks: Tick[];
  width: number;
}

const margin = 6; // px: a limit on the edge is drawn whole

/** acrossOf fits the values of a group into the width at hand. */
export function acrossOf({ rows, unit }: Group, width: number, measure: (text: string) => number): Across {
  const told = (v: number | null | undefined) => (v === null || v === undefined ? [] : [fromBase(v, unit)]);
  const middles = rows.flatMap((r) => [...told(r.predicted), ...told(r.measured?.value)]);
  const ends = rows.flatMap((r) => [...told(r.promised?.low), ...told(r.promised?.high), ...told(r.measured?.low), ...told(r.measured?.high)]);
  const values = middles.length > 0 ? middles : ends;
  const axis = axisOf(values, { most: Math.max(2, Math.floor(width / 90)), log: true, besides: ends });
  const to = (v: number) => margin + shareOf(axis, v) * (width - 2 * margin);
  return { width, tickX: to, x: (value) => to(fromBase(value, unit)), ticks: apart(axis.ticks, to, measure, { left: 0, right: width }) };
}

/** within keeps a text about a place inside the width at hand: the place of its middle. */
export function within(middle: number, wide: number, width: number): number {
  return Math.max(wide / 2, Math.min(middle, width - wide / 2));
}

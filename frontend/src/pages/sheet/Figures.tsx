import { useState } from "preact/hooks";
import { fieldAt, numberAt, unitsFor, useOf, type Basis } from "./basis";
import type { CalcField } from "./fields";
import { hasEnds, uncertaintyOf, withInterval } from "./interval";
import { Origin } from "./Origin";
import { PinMark, PinPlace, pinId } from "./pins";
import { atPlace } from "../../places";
import { useUnits } from "../../system";
import { fromBase, withUnit } from "../../units";
import type { Numbers } from "./say";

/** What a builder asks first, and what it is called. */
const first: [string, string][] = [
  ["/blow_off_gauge_pa", "Pressure, at most: air blows off"],
  ["/lowest_delivery_gauge_pa", "Pressure, at least: the chamber floods"],
  ["/free_air_delivered_m3s", "Free air delivered"],
  ["/air_delivered_iso1217_m3s", "the same, dry at 100 kPa and 20 °C"],
  ["/water_flow_m3s", "Water used"],
  ["/head_m", "Fall used"],
  ["/efficiency", "Of the water’s power, in the air"],
  ["/ideal_free_air_m3s", "Most that any machine could compress"],
  ["/void_max", "Air in the downcomer, by volume, at most"],
  ["/oxygen_fraction_dry", "Oxygen in the dry air"],
  ["/vapour_g_per_kg_dry", "Water vapour in the air"],
  ["/dew_point_at_atmosphere_c", "Dew point once let out"],
];

const spare: [string, string][] = [
  ["/surplus_fall_m", "Fall wasted"],
  ["/part_full_length_m", "Length that runs part full"],
  ["/plunge_level_m", "Level at which it begins to run full"],
  ["/plunge_velocity_ms", "Speed of the water as it plunges"],
  ["/deeper_at_least_m", "Deeper, and riser taller, by at least"],
];

interface FiguresProps {
  n: Numbers;
  basis: Basis;
}

/** Figures are all numbers of a machine, each with its interval; each opens to say where it comes from. */
export function Figures({ n, basis }: FiguresProps) {
  const named = (list: [string, string][]) => list.flatMap(([at, name]) => rowOf(basis, at, name));
  const shown = new Set([...first, ...spare].map(([at]) => at));
  const rest = basis.outputs.filter((f) => f.kind === "number" && f.at.split("/").length === 2 && !shown.has(f.at)).map((f) => ({ f, name: f.about }));
  const surplus = n.part_full_length_m > 0;
  return (
    <>
      <p class="small quiet off-paper">Open a number to see where it comes from.</p>
      <Rows rows={named(first)} n={n} basis={basis} />
      {surplus ? (
        <>
          <h3>Fall to spare</h3>
          <Rows rows={named(spare)} n={n} basis={basis} />
        </>
      ) : null}
      <details class="off-paper">
        <summary>All other numbers</summary>
        <Rows rows={surplus ? rest : [...named(spare), ...rest]} n={n} basis={basis} />
      </details>
    </>
  );
}

interface RowOf {
  f: CalcField;
  name: string;
}

function rowOf(basis: Basis, at: string, name: string): RowOf[] {
  const f = fieldAt(basis.outputs, at);
  return f ? [{ f, name }] : [];
}

function Rows({ rows, n, basis }: { rows: RowOf[]; n: Numbers; basis: Basis }) {
  return (
    <ul class="numbers">
      {rows.map((r) => (
        <Row key={r.f.at} {...r} n={n} basis={basis} />
      ))}
    </ul>
  );
}

function Row({ f, name, n, basis }: RowOf & { n: Numbers; basis: Basis }) {
  const [open, setOpen] = useState(false);
  const pin = { kind: "result", at: `/trompe${f.at}`, name } as const;
  return (
    <li id={pinId(pin)}>
      <details onToggle={(e) => setOpen(e.currentTarget.open)}>
        <summary>
          <span class="quiet">{name}</span> <Value f={f} n={n} />
          <PinMark pin={pin} />
        </summary>
        {open ? (
          <>
            <PinPlace pin={pin} />
            <Origin of={f} basis={basis} n={n} />
          </>
        ) : null}
      </details>
    </li>
  );
}

interface ValueProps {
  f: CalcField;
  n: Numbers;
  /** In a table: to the millimetre, and the table says the level. */
  fine?: boolean;
}

/** Value is one number of a result with its interval. */
export function Value({ f, n, fine = false }: ValueProps) {
  const units = unitsFor(f, useUnits());
  const value = numberAt(n, f.at);
  const interval = uncertaintyOf(n)?.outputs[f.at.slice(1)];
  if (value === null) {
    return <b>none</b>;
  }
  const spread = hasEnds(interval) && interval.low !== interval.high;
  if (fine) {
    const unit = units.shown(value, useOf(f));
    return <>{spread ? withInterval(value, interval, useOf(f), units, -3) : withUnit(atPlace(fromBase(value, unit), -3), unit)}</>;
  }
  return (
    <span class="value">
      <b>{withInterval(value, interval, useOf(f), units)}</b>
      {spread ? ` (95\u202F%)` : ""}
    </span>
  );
}

import type { Units, Use } from "../../system";
import type { Numbers } from "./say";

/** How levels become pixels from the top: the drawing's own scale, or one of the chart. */
export interface Levels {
  perMetre: number;
  /** Where level 0 lies. */
  zero: number;
  height: number;
}

export const yOf = (l: Levels, z: number) => l.zero - z * l.perMetre;

/** levelsFor fits the downcomer into a height of its own, with room for a line of text above and below. */
export function levelsFor(n: Numbers, height: number): Levels {
  const { top, bottom } = ends(n);
  const room = height - 2 * edge;
  const perMetre = room / Math.max(top - bottom, 1e-6);
  return { perMetre, zero: edge + top * perMetre, height };
}

const edge = 26; // px

/** ends gives the levels at which the downcomer begins and ends. */
export function ends(n: Numbers): { top: number; bottom: number } {
  const levels = n.profile.map((s) => s.z_m);
  const bottom = Math.min(...levels);
  const steep = n.full_bore_length_m > 0 ? (Math.max(...levels) - bottom) / n.full_bore_length_m : 1;
  return { top: n.plunge_level_m + n.part_full_length_m * steep, bottom };
}

/** One quantity against level. */
export interface Panel {
  id: string;
  title: string;
  use: Use;
  curves: Curve[];
}

export interface Curve {
  name: string;
  kind: "line" | "broken" | "dotted";
  points: { z: number; value: number }[];
}

/** panelsOf makes the three panels: pressure, share of air, speeds. */
export function panelsOf(n: Numbers): Panel[] {
  const along = (read: (s: Numbers["profile"][number]) => number) => n.profile.map((s) => ({ z: s.z_m, value: read(s) }));
  const film: Curve[] =
    n.part_full_length_m > 0
      ? [{ name: "falling film", kind: "dotted", points: [{ z: ends(n).top, value: n.throat_velocity_ms }, { z: n.plunge_level_m, value: n.plunge_velocity_ms }] }]
      : [];
  return [
    { id: "pressure", title: "Pressure", use: "pressure", curves: [{ name: "pressure", kind: "line", points: along((s) => s.p_gauge_pa) }] },
    { id: "air", title: "Share of air", use: "percent", curves: [{ name: "air", kind: "line", points: along((s) => s.void) }] },
    {
      id: "speed",
      title: "Speed",
      use: "speed",
      curves: [{ name: "water", kind: "line", points: along((s) => s.u_liquid_ms) }, { name: "bubbles", kind: "broken", points: along((s) => s.u_gas_ms) }, ...film],
    },
  ];
}

/** A text at a point of a curve. */
export interface Mark {
  y: number;
  x: number;
  text: string;
}

/** marksOf names the values of a panel's first curve at its upper and lower end. */
export function marksOf(panel: Panel, levels: Levels, across: (value: number) => number, units: Units): Mark[] {
  const points = panel.curves[0]?.points ?? [];
  const [first, last] = [points[0], points.at(-1)];
  if (!first || !last) {
    return [];
  }
  const text = (value: number) => units.write(value, panel.use);
  return [
    { y: yOf(levels, first.z) - 7, x: across(first.value), text: text(first.value) },
    { y: yOf(levels, last.z) + 19, x: across(last.value), text: text(last.value) },
  ];
}

/** acrossOf maps values to pixels from the left: from 0, or below where values are, to the greatest. */
export function acrossOf(panel: Panel, width: number): (value: number) => number {
  const values = panel.curves.flatMap((c) => c.points.map((p) => p.value));
  const low = Math.min(0, ...values);
  const high = Math.max(...values, low + 1e-9);
  return (value) => ((value - low) / (high - low)) * width;
}

import type { Schema } from "../../api/client";
import type { Units, Use } from "../../system";
import { hasEnds, withInterval, type Interval } from "../sheet/interval";
import { hasNumbers, type Numbers } from "../sheet/say";

type Figure = { [K in keyof Numbers]-?: Numbers[K] extends number | null ? K : never }[keyof Numbers];

/** The answers that are compared, in the order in which a builder asks. */
const rows: { name: Figure; words: string; use: Use }[] = [
  { name: "free_air_delivered_m3s", words: "Free air delivered", use: "free_air" },
  { name: "chamber_gauge_pa", words: "Pressure in the chamber", use: "pressure" },
  { name: "lowest_delivery_gauge_pa", words: "Delivery pressure, at flooding", use: "pressure" },
  { name: "blow_off_gauge_pa", words: "Delivery pressure, at blow-off", use: "pressure" },
  { name: "water_flow_m3s", words: "Water used", use: "flow" },
  { name: "head_m", words: "Fall used", use: "level" },
  { name: "surplus_fall_m", words: "Fall to spare", use: "level" },
  { name: "efficiency", words: "Of the water’s power, in the air", use: "percent" },
  { name: "void_max", words: "Air in the downcomer, by volume, at most", use: "percent" },
  { name: "throat_velocity_ms", words: "Speed between the air tubes", use: "speed" },
  { name: "riser_velocity_ms", words: "Speed in the riser", use: "speed" },
];

/** One answer of two sheets. */
export interface Compared {
  words: string;
  left: string;
  right: string;
  /** Right less left; empty where one of them has no such number. */
  difference: string;
  /** The intervals overlap: the difference may be nothing but what is not known. */
  within: boolean;
}

/** compareAnswers lays the numbers of two reports side by side; without numbers on either side there is nothing to lay. */
export function compareAnswers(left: Schema<"Report">, right: Schema<"Report">, units: Units): Compared[] {
  return rows.flatMap(({ name, words, use }) => {
    const [a, b] = [valueOf(left, name), valueOf(right, name)];
    if (a === null && b === null) {
      return [];
    }
    const [ha, hb] = [halfOf(left, name), halfOf(right, name)];
    const write = (v: number | null, of: Schema<"Report">) => (v === null ? "none" : withInterval(v, intervalOf(of, name), use, units));
    const d = a === null || b === null ? null : b - a;
    const within = d !== null && d !== 0 && ha !== null && hb !== null && Math.abs(d) < ha + hb;
    return [{ words, left: write(a, left), right: write(b, right), difference: d === null ? "" : signed(d, use, units), within }];
  });
}

function signed(d: number, use: Use, units: Units): string {
  return d === 0 ? "none" : `${d > 0 ? "+" : ""}${units.write(d, use)}`;
}

function valueOf(report: Schema<"Report">, name: Figure): number | null {
  const r = report.trompe;
  return r && hasNumbers(r) ? (r[name] ?? null) : null;
}

/** intervalOf is the 95 % interval that came with the save. */
function intervalOf(report: Schema<"Report">, name: Figure): Interval | undefined {
  const r = report.trompe;
  return r && hasNumbers(r) ? r.uncertainty?.outputs[name] : undefined;
}

function halfOf(report: Schema<"Report">, name: Figure): number | null {
  const i = intervalOf(report, name);
  return hasEnds(i) ? (i.high - i.low) / 2 : null;
}

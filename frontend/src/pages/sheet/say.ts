import type { Schema } from "../../api/client";
import type { Units } from "../../system";

export type Result = NonNullable<Schema<"Report">["trompe"]>;
export type Numbers = Schema<"TrompeNumbers">;

export const hasNumbers = (r: Result): r is Numbers => "water_flow_m3s" in r;

/** gist says a result in one sentence. */
export function gist(r: Result, units: Units): string {
  if (!hasNumbers(r)) {
    return r.message;
  }
  const water = units.write(r.water_flow_m3s, "flow");
  if (r.free_air_delivered_m3s <= 0) {
    return `No air delivered, with ${water} of water.`;
  }
  return `${units.write(r.free_air_delivered_m3s, "free_air")} of free air at ${units.write(r.chamber_gauge_pa, "pressure")}, using ${water} of water.`;
}

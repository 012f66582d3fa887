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

/** saySheet says a whole sheet in one sentence; null where it has no machine. */
export function saySheet(report: Schema<"Report">, units: Units): string | null {
  if (report.gist && report.gist.machine !== "trompe") {
    return otherGist(report.gist, units);
  }
  return report.trompe ? gist(report.trompe, units) : null;
}

const machineWords: Record<string, string> = { ram: "The ram", lift: "The lift", pulse: "The booster" };

/** otherGist says what another machine than a trompe does in one sentence. */
function otherGist(g: Schema<"SheetGist">, units: Units): string {
  const what = machineWords[g.machine] ?? "The machine";
  if (g.status !== "ok") {
    return `${what} does not work as typed: the answers say why.`;
  }
  const water = g.water_m3s === null ? "" : `, using ${units.write(g.water_m3s, "flow")} of water`;
  if (g.free_air_m3s !== null && g.gauge_pa !== null) {
    return `${units.write(g.free_air_m3s, "free_air")} of free air at ${units.write(g.gauge_pa, "pressure")}${water}.`;
  }
  return g.lifted_m3s === null ? `${what} works${water}.` : `${units.write(g.lifted_m3s, "flow")} of water lifted${water}.`;
}

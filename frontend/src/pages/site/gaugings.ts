import type { Schema } from "../../api/client";
import type { Units } from "../../system";
import { day } from "../../words";

export type Gauging = Schema<"Gauging">;

/** sayGauged writes a gauged flow with how far it may be off, where somebody said. */
export function sayGauged(g: Gauging, units: Units): string {
  const flow = units.write(g.flow_m3s, "flow");
  return g.half_width_m3s === null ? flow : `${flow}, give or take ${units.write(g.half_width_m3s, "flow")}`;
}

/** sayGaugedWhen says when a flow was gauged, or at least when it was written down. */
export function sayGaugedWhen(g: Gauging): string {
  return g.gauged_on === null ? `written down ${day(g.recorded_at)}` : sayDate(g.gauged_on);
}

/** sayDate writes a day that belongs to no time zone. */
function sayDate(iso: string): string {
  return new Date(`${iso}T00:00:00Z`).toLocaleDateString("en-GB", { day: "numeric", month: "short", year: "numeric", timeZone: "UTC" }).replaceAll(" ", "\u00a0");
}

import type { Schema } from "../../api/client";

/**
 * startingMachine is what a first sheet begins with: a small garden machine of
 * our own, set to the site's figures where they are known. All levels are in
 * metres over the riser's outlet.
 */
export function startingMachine(site: Schema<"Site"> | null): Record<string, unknown> {
  const fall = Math.max(site?.fall_m ?? 1.5, 0.3);
  const depth = Math.max(1.5, 2.2 * fall);
  const round = (x: number) => Math.round(x * 100) / 100;
  return {
    site: {
      ...(site?.altitude_m != null ? { altitude_m: site.altitude_m } : {}),
      ...(site?.t_air_c != null ? { t_air_c: site.t_air_c } : {}),
      ...(site?.t_water_c != null ? { t_water_c: site.t_water_c } : {}),
    },
    supply: { type: "forebay", level_m: round(fall), ...(site?.flow_m3s != null ? { flow_max_m3s: site.flow_m3s } : {}) },
    intake: { mouth_m: round(fall - 0.25), n_tubes: 20, tube_id_m: 0.01, tube_od_m: 0.012, tube_length_m: 0.5, bundle_length_m: 0.05 },
    downcomer: { bore_m: 0.068, outlet_m: round(-depth), k_minor: 0.3 },
    chamber: { kind: "horizontal", bore_m: 0.3, length_m: 1.5, floor_m: round(-depth - 0.1), lip_m: round(-depth + 0.05), high_m: round(-depth + 0.14) },
    riser: { bore_m: 0.1, outlet_m: 0, k_minor: 1.5 },
  };
}

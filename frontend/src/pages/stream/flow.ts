/**
 * What a bucket and a stopwatch tell, worked out on the phone itself: there is
 * often no signal at the water. The notebook has the same formulas under
 * system/bucket and system/boost_lift; e2e/stream.spec.ts compares the two.
 */

/** A flow from bucket fills. */
export interface Gauged {
  flow_m3s: number;
  /** Half the width of the 95 % interval. */
  half_m3s: number;
  mean_s: number;
  n: number;
}

/** Standard uncertainties, common practice, no source: a marked bucket, a thumb on a button. */
const bucketOff = 0.02;
const thumbOff_s = 0.2;

/**
 * gauge works out Q = V/t̄ and its interval ± 2u:
 *
 *   (u/Q)² = u_V² + (u_t/t̄)² + (s/t̄)²/n, s the spread of the times.
 *
 * Source: JCGM 100 for the sum; the uncertainties are common practice.
 */
export function gauge(volume_m3: number, times_s: number[]): Gauged | null {
  const n = times_s.length;
  const mean_s = times_s.reduce((sum, t) => sum + t, 0) / n;
  if (!(volume_m3 > 0 && mean_s > 0)) {
    return null;
  }
  const spread = n > 1 ? Math.sqrt(times_s.reduce((sum, t) => sum + (t - mean_s) ** 2, 0) / (n - 1)) : 0;
  const off = Math.hypot(bucketOff, thumbOff_s / mean_s, spread / mean_s / Math.sqrt(n));
  const flow_m3s = volume_m3 / mean_s;
  return { flow_m3s, half_m3s: 2 * off * flow_m3s, mean_s, n };
}

/** What a stream could give to a trompe. */
export interface Could {
  water_w: number;
  gauge_pa: number;
  air_low_m3s: number;
  air_high_m3s: number;
}

const water = 998.2; // kg/m³ at 20 °C
const gravity = 9.80665; // m/s²
const atmosphere = 101_325; // Pa

/**
 * The share of the water's power that reaches the air. 0.5 is what the lift of
 * a ram reckons with; large old plants were rated at 0.7 and more, machines of
 * garden size mostly stay below. Common judgement, no source.
 */
export const share = { low: 0.2, high: 0.5 };

/**
 * could tells the air of a trompe whose air escapes at this depth below the
 * tailwater: p = ρ·g·depth, Q_air = η·ρ·g·Q·H/(p_a·ln(1 + p/p_a)).
 */
export function could(flow_m3s: number, fall_m: number, depth_m: number): Could {
  const water_w = water * gravity * flow_m3s * fall_m;
  const gauge_pa = water * gravity * depth_m;
  const perWatt = 1 / (atmosphere * Math.log1p(gauge_pa / atmosphere));
  return { water_w, gauge_pa, air_low_m3s: share.low * water_w * perWatt, air_high_m3s: share.high * water_w * perWatt };
}

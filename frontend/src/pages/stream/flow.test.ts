import { describe, expect, test } from "vitest";
import { could, gauge } from "./flow";
import { counted, press, type Timing } from "./timing";

const none: Timing = { bucket: "", fall: "", depth: "", fills: [], began: null };

describe("gauge", () => {
  // WaterSafe (UK), minimum water pressure advice: 4.5 L in 30 s is 9 L/min.
  test("divides the bucket by the time", () => {
    expect(60_000 * (gauge(0.0045, [30])?.flow_m3s ?? 0)).toBeCloseTo(9, 6);
  });
  // Worked by hand: t̄ = 10, s = 1; u² = 0.02² + (0.2/10)² + (1/10)²/3.
  test("sums the uncertainties as JCGM 100 has it", () => {
    const g = gauge(0.01, [9, 10, 11]);
    expect(g?.half_m3s).toBeCloseTo(2 * 0.001 * Math.sqrt(0.0004 + 0.0004 + 0.01 / 3), 12);
  });
  test("has no answer without a bucket or a time", () => {
    expect(gauge(0, [10])).toBeNull();
    expect(gauge(0.01, [])).toBeNull();
  });
});

describe("could", () => {
  // Ideal bound worked by hand: 10 L/s over 3 m is 293.7 W; at 8 m the gauge shows 0.783 bar and
  // isothermal compression takes 101325·ln(1.773) = 58.0 kJ a cubic metre.
  test("keeps the energy of the water", () => {
    const c = could(0.01, 3, 8);
    expect(c.water_w).toBeCloseTo(293.7, 1);
    expect(c.gauge_pa).toBeCloseTo(78_312, -1);
    expect((c.air_high_m3s / 0.5) * 58_010).toBeCloseTo(293.7, 0);
  });
});

describe("press", () => {
  test("two presses are a fill, and a bouncing thumb is one press", () => {
    const began = press(none, 1000);
    expect(press(began, 1200)).toEqual(began);
    expect(counted(press(began, 11_000))).toEqual([10]);
  });
  test("a clock that was set, or a forgotten fill, gives no fill", () => {
    const began = press(none, 10_000);
    expect(press(began, 5000)).toEqual(none);
    expect(press(began, 10_000 + 31 * 60_000)).toEqual(none);
  });
});

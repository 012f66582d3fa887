import { describe, expect, it } from "vitest";
import type { Schema } from "../../api/client";
import { unitsIn } from "../../system";
import { compareAnswers } from "./answers";

const metric = unitsIn("metric");

/** report is one with an air flow in m³/s and the ends of its interval. */
function report(free_air_delivered_m3s: number, low?: number, high?: number): Schema<"Report"> {
  const outputs = low === undefined ? {} : { free_air_delivered_m3s: { mean: free_air_delivered_m3s, u: 1e-5, low, high } };
  return { calc_version: "1", trompe: { water_flow_m3s: 0.003, free_air_delivered_m3s, warnings: [], uncertainty: { outputs } } } as unknown as Schema<"Report">;
}

const air = (a: Schema<"Report">, b: Schema<"Report">) => compareAnswers(a, b, metric).find((r) => r.words === "Free air delivered");

// The numbers are worked by hand: 0.0005 m³/s are 30 L/min.
describe("two answers side by side", () => {
  it("shows right less left, with its sign", () => {
    expect(air(report(0.0005), report(0.0006))?.difference).toBe("+6\u202FL/min");
    expect(air(report(0.0006), report(0.0005))?.difference).toBe("−6\u202FL/min");
    expect(air(report(0.0005), report(0.0005))?.difference).toBe("none");
  });

  it("writes each with its own interval, as the sheet does", () => {
    const row = air(report(0.0005, 0.00044, 0.00056), report(0.0006, 0.0003, 0.00065)); // 30 ± 3.6; 36, from 18 to 39
    expect(row?.left).toBe("30.0 ± 3.6\u202FL/min");
    expect(row?.right).toBe("36, from 18 to 39\u202FL/min");
  });

  it("says within the interval when the two intervals overlap, and only then", () => {
    expect(air(report(0.0005, 0.00044, 0.00056), report(0.0006, 0.00055, 0.00065))?.within).toBe(true); // 3.6 + 3 > 6 L/min
    expect(air(report(0.0005, 0.00046, 0.00054), report(0.0006, 0.00055, 0.00065))?.within).toBe(false); // 2.4 + 3 < 6 L/min
    expect(air(report(0.0005), report(0.0006, 0.0005, 0.0007))?.within).toBe(false);
  });

  it("tells no difference to a machine without an operating point", () => {
    const stopped = { calc_version: "1", trompe: { status: "no_head", message: "", warnings: [] } } as unknown as Schema<"Report">;
    expect(air(stopped, report(0.0005))).toMatchObject({ left: "none", difference: "", within: false });
    expect(compareAnswers(stopped, stopped, metric)).toEqual([]);
  });
});

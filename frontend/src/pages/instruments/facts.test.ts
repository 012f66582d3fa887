import { describe, expect, it } from "vitest";
import { unitsIn } from "../../system";
import { accuracy, dayWords, emptyTexts, factsOf, fieldOf, kinds, range, textsOf, type Facts } from "./facts";

const dial: Facts = {
  ...{ name: "Test gauge", kind: "pressure_gauge", serial: "G-17", unit: "Pa", range_low: 0, range_high: 600_000, resolution: 10_000 },
  ...{ class_pct: 1.6, accuracy: null, interval_days: 365, note: "" },
};
const glass: Facts = { ...dial, name: "Glass", kind: "thermometer", unit: "°C", range_low: -10, range_high: 60, resolution: 0.5, class_pct: null, accuracy: 1 };

describe("what the register says about an instrument", () => {
  it("is shown in the member's units", () => {
    expect(range(dial, unitsIn("metric"))).toBe("0 to 6\u202Fbar");
    expect(range(dial, unitsIn("us"))).toBe("0 to 87.02\u202Fpsi");
    expect(accuracy(dial, unitsIn("metric"))).toBe("class 1.6");
  });

  // A width on a scale has no zero of its own: 1 °C is 1.8 °F, not 33.8.
  it("takes accuracy and divisions as widths", () => {
    expect(range(glass, unitsIn("us"))).toBe("14 to 140\u202F°F");
    expect(accuracy(glass, unitsIn("us"))).toBe("± 1.8\u202F°F");
    expect(textsOf(glass, "us").resolution).toBe("0.9");
  });

  it("comes back from the form as it went in, in every system", () => {
    for (const system of ["metric", "us", "si"]) {
      for (const facts of [dial, glass]) {
        const read = factsOf(textsOf(facts, system));
        const back = "facts" in read ? read.facts : expect.fail(JSON.stringify(read));
        expect(back.range_high).toBeCloseTo(facts.range_high, 4);
        expect(back.resolution ?? NaN).toBeCloseTo(facts.resolution ?? NaN, 6);
        expect({ ...back, range_low: 0, range_high: 0, resolution: 0, accuracy: 0 }).toEqual({ ...facts, range_low: 0, range_high: 0, resolution: 0, accuracy: 0 });
      }
    }
  });

  it("says its own unit where the kind has none", () => {
    const lux = factsOf({ ...emptyTexts("metric"), name: "Lux meter", kind: "other", unit: "lx", high: "2000" });
    expect(lux).toMatchObject({ facts: { unit: "lx", range_high: 2000 } });
    expect(Object.values(kinds).filter((k) => k.typed === null).every((k) => k.kept === "")).toBe(true);
  });

  it("names what can't be read, at its field", () => {
    const read = factsOf({ ...textsOf(dial, "metric"), high: "", resolution: "fine", interval_days: "1.5" });
    expect("faults" in read && read.faults.map((f) => f.field)).toEqual(["interval_days", "high", "resolution"]);
    expect(["/facts/range_low", "/range_high", "/calibrated_on", "/facts/name"].map(fieldOf)).toEqual(["low", "high", "calibrated_on", "name"]);
  });

  it("writes a day of the calendar whatever the browser's time zone", () => {
    expect(dayWords("2026-12-01")).toBe("1\u00a0Dec\u00a02026");
  });
});

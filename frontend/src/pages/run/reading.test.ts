import { describe, expect, it } from "vitest";
import { unitsIn } from "../../system";
import type { Measurable, Method } from "./fetch";
import { readingOf, startFrom } from "./reading";

const units = unitsIn("metric");
const flow: Measurable = { name: "water_flow_m3s", title: "water flow", unit: "m³/s", derived: false, pressurised: false, promised: true, required: true, predicted: 0.0003, low: null, high: null };
const pressure: Measurable = { ...flow, name: "delivery_pressure_pa", title: "delivery pressure, gauge", unit: "Pa", pressurised: true };
const bucket: Method = {
  ...{ name: "bucket", about: "a bucket and a stopwatch", of: ["water_flow_m3s"], unit: "s", values: "time of each filling", instrument: [] },
  extra: [
    { at: "/volume_m3", kind: "number", unit: "m³", about: "what the vessel holds up to its mark", required: true },
    { at: "/mark_m3", kind: "number", unit: "m³", about: "± that the mark may be off", required: true },
  ],
};
const gauge: Method = {
  ...{ name: "pressure_gauge", about: "a gauge", of: ["delivery_pressure_pa"], unit: "Pa", values: "what it shows", instrument: ["pressure_gauge"] },
  extra: [{ at: "/zero_before_pa", kind: "number", unit: "Pa", about: "what it showed with nothing on it, before", required: true }],
};
const ways = [bucket, gauge];
const fields = (faults: { field?: string }[]) => faults.map((f) => f.field);

// 1 L is 0.001 m³ and 1 bar is 100 000 Pa, by their definitions.
describe("what is typed of a reading", () => {
  it("becomes times as they were read and a vessel in SI, with what was typed beside", () => {
    const { reading, faults, lacking } = readingOf(flow, ways, { values: "37,1\n36.8 s", next: "37.4", "/volume_m3": "10 L", "/mark_m3": "0.1 L" }, units);
    expect([faults, lacking]).toEqual([[], []]);
    expect(reading).toEqual({ quantity: "water_flow_m3s", method: "bucket", instrument: null, values: [37.1, 36.8, 37.4], typed: { unit: "s", texts: ["37,1", "36.8 s", "37.4"] }, extra: { volume_m3: 0.01, mark_m3: 0.0001 } });
  });

  it("takes a bare number in the unit that is chosen, and one with its own as that", () => {
    const { reading } = readingOf(pressure, ways, { values: "0.1\n10 kPa", unit: "bar", instrument: "4", "/zero_before_pa": "0" }, units);
    expect(reading?.values).toEqual([10_000, 10_000]);
    expect(reading?.instrument).toBe(4);
  });

  it("keeps a dash as a value that was missed", () => {
    expect(readingOf(flow, ways, { values: "37.1\n–\n36.8" }, units).reading?.values).toEqual([37.1, null, 36.8]);
  });

  it("says what lacks without refusing it, since some of it is better than nothing", () => {
    const { reading, lacking } = readingOf(flow, ways, { next: "37.1", "/volume_m3": "10 L" }, units);
    expect(reading).not.toBeNull();
    expect(lacking).toHaveLength(1);
  });

  it("names the value that is no number, and asks for the instrument", () => {
    const { reading, faults } = readingOf(pressure, ways, { values: "0.1\nabout two" }, units);
    expect(reading).toBeNull();
    expect(fields(faults)).toEqual(["reading-values", "reading-instrument"]);
    expect(faults[0]?.message).toContain("Value 2");
  });

  it("is nothing where only dashes are", () => {
    expect(readingOf(flow, ways, { values: "–\n–" }, units).reading).toBeNull();
  });
});

describe("the next reading of the same", () => {
  const was = { ...readingOf(pressure, ways, { values: "0.1", unit: "bar", instrument: "4", "/zero_before_pa": "20" }, units).reading };
  it("begins with the vessel of the last, and with no zero of before", () => {
    const before = { method: "bucket", typed: { unit: "s", texts: [] }, extra: { volume_m3: 0.01, mark_m3: 0.0001 }, instrument: null } as unknown as Parameters<typeof startFrom>[2];
    expect(startFrom(flow, ways, before, units)["/volume_m3"]).toBe("10");
    const gauged = { ...was, instrument: { id: 4 } } as unknown as Parameters<typeof startFrom>[2];
    const start = startFrom(pressure, ways, gauged, units);
    expect(start["instrument"]).toBe("4");
    expect(start["/zero_before_pa"] ?? "").toBe("");
  });
});

import { describe, expect, it } from "vitest";
import { bodyOf, fieldOf } from "./facts";

const texts = { flow: "3,4", flow_unit: "L/s", half: "12 L/min", day: "2026-08-12", how: "bucket", note: "" };

// Litres to cubic metres and minutes to seconds are definitions (SI brochure, 9th edition, table 8).
describe("a gauging as typed", () => {
  it("is read in the units it was typed in", () => {
    const made = bodyOf(texts, "key-00000001");
    expect(made).toMatchObject({ body: { gauged_on: "2026-08-12", how: "bucket", client_key: "key-00000001" } });
    expect("body" in made && made.body.flow_m3s).toBeCloseTo(0.0034, 12);
    expect("body" in made && made.body.half_width_m3s).toBeCloseTo(0.0002, 12);
  });

  it("may leave open how far it is off, and the day", () => {
    expect(bodyOf({ ...texts, half: "", day: "" }, "k")).toMatchObject({ body: { half_width_m3s: null, gauged_on: null } });
  });

  it("names everything that can't be read, each at its field", () => {
    const made = bodyOf({ ...texts, flow: "", half: "a bit" }, "k");
    expect("faults" in made && made.faults.map((f) => f.field)).toEqual(["flow", "half"]);
  });

  it("finds the field of each pointer of the contract", () => {
    expect(["/flow_m3s", "/half_width_m3s", "/gauged_on", "/how", "/note"].map(fieldOf)).toEqual(["flow", "half", "day", "how", "note"]);
    expect(fieldOf("/client_key")).toBeUndefined();
  });
});

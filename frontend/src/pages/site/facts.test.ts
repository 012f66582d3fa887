import { describe, expect, it } from "vitest";
import { unitsIn } from "../../system";
import { factsOf, fieldOf, inUnits, readFigure, textsOf } from "./facts";

const site = {
  ...{ project: 1, version: 2, name: "Cobbler’s Weir", source: "stream" as const, gauged: "", note: "" },
  ...{ fall_m: 2.6, flow_m3s: 1 / 3000, static_pa: null, t_water_c: 0, t_air_c: null, altitude_m: -3.5 },
  ...{ changed_at: null, changed_by: null, gauging: null, allowed_actions: [] },
};
const inForce = { flow_unit: "L/s", units: "metric" };
const texts = textsOf(site, inForce);

describe("the site form", () => {
  it("shows what is kept, zero too, and nothing for what is not known", () => {
    expect(texts).toMatchObject({ fall: "2.6", t_water: "0", altitude: "-3.5", static: "", t_air: "" });
  });

  it("changes no figure that was not touched, however crooked", () => {
    expect(factsOf(texts, texts, site)).toMatchObject({ facts: { flow_m3s: 1 / 3000, t_water_c: 0, static_pa: null } });
  });

  it("reads a number in the unit chosen, or in one of its own", () => {
    const typed = { ...texts, flow: "144", flow_unit: "L/min", static: "3,1", fall: "10 ft" };
    const read = factsOf(typed, texts, site);
    // 144 L/min = 2.4 L/s; 3.1 bar = 310 kPa; 1 ft = 0.3048 m exactly.
    expect(read).toMatchObject({ facts: { static_pa: expect.closeTo(310_000, 6) as number, fall_m: expect.closeTo(3.048, 12) as number } });
    expect(read).toMatchObject({ facts: { flow_m3s: expect.closeTo(0.0024, 15) as number } });
  });

  it("reads an untouched number anew when its unit was changed", () => {
    const read = factsOf({ ...texts, flow: "2", flow_unit: "L/min" }, { ...texts, flow: "2" }, site);
    expect(read).toMatchObject({ facts: { flow_m3s: expect.closeTo(2 / 60_000, 15) as number } });
  });

  it("finds all faults at once, each at its field", () => {
    const read = factsOf({ ...texts, fall: "-1", flow: "much", t_air: "51" }, texts, site);
    expect("faults" in read && read.faults.map((f) => f.field)).toEqual(["fall", "flow", "t_air"]);
  });

  it("says the limits in the unit the person types in", () => {
    expect(readFigure("static", { ...texts, static: "25" })).toContain("20\u202Fbar");
  });

  // 2.6 m = 8.530… ft is not round in feet; 3 ft = 0.9144 m and 59 °F = 15 °C are, by definition.
  it("takes and shows the member's units, and a draft from before keeps its meaning", () => {
    const us = { flow_unit: "US gal/min", units: "us" };
    expect(textsOf({ ...site, altitude_m: 0.9144, t_air_c: 15 }, us)).toMatchObject({ fall: "2.6 m", altitude: "3", t_air: "59" });
    const read = factsOf({ ...textsOf(site, us), fall: "10" }, textsOf(site, us), site);
    expect(read).toMatchObject({ facts: { fall_m: expect.closeTo(3.048, 12) as number, flow_m3s: 1 / 3000, t_water_c: 0 } });
    expect(inUnits({ fall: "2,6", static: "3 bar", flow: "2", flow_unit: "L/s", note: "12" }, unitsIn("us"))).toMatchObject({ fall: "2,6 m", static: "3 bar", flow: "2", note: "12", units: "us" });
  });

  it("finds the field of each pointer of the contract", () => {
    expect(["/fall_m", "/flow_m3s", "/static_pa", "/source", "/note"].map(fieldOf)).toEqual(["fall", "flow", "static", "source", "note"]);
    expect(fieldOf("/client_key")).toBeUndefined();
  });
});

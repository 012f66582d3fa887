import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { applies, inputOf, labelOf, nameOf, same, textsOf, unitOf, type CalcField } from "./fields";
import { startingMachine } from "./start";
import type { Schema } from "../../api/client";

// The declarations are copied from the calculation; see "source" in the files.
const read = (name: string) => JSON.parse(readFileSync(`src/pages/sheet/testdata/${name}.json`, "utf8")) as unknown;
const { inputs: fields } = read("fields") as { inputs: CalcField[] };
const { cases } = read("worked") as { cases: { name: string; input: Record<string, unknown> }[] };

const field = (at: string): CalcField => {
  const found = fields.find((f) => f.at === at);
  if (!found) {
    throw new Error(`no field ${at}`);
  }
  return found;
};

describe("units of the sheet", () => {
  it.each([
    ["/supply/level_m", "m"],
    ["/downcomer/bore_m", "mm"],
    ["/intake/tube_od_m", "mm"],
    ["/riser/roughness_m", "mm"],
    ["/intake/tube_length_m", "m"],
    ["/supply/flow_max_m3s", "L/min"],
    ["/supply/static_pa", "bar"],
    ["/site/t_water_c", "°C"],
    ["/chamber/plan_area_m2", "m²"],
    ["/intake/n_tubes", ""],
  ])("%s is typed in %s", (at, unit) => expect(unitOf(field(at)).name).toBe(unit));

  it("has a name of its own for every field but the coefficients", () => {
    const nameless = fields.filter((f) => f.kind !== "object" && !f.at.startsWith("/params") && labelOf(f) === f.at.slice(f.at.lastIndexOf("/") + 1));
    expect(nameless.map((f) => f.at)).toEqual([]);
  });
});

describe("the input that is sent", () => {
  // 1.9 m; 3 in = 76.2 mm (1 in = 25.4 mm exactly); 132 L/min = 0.0022 m³/s; 0.3 bar = 30 kPa; 50 °F = 10 °C.
  const typed = {
    "supply-type": "forebay", "supply-level_m": "1,9", "supply-flow_max_m3s": "132", "downcomer-bore_m": "3 in",
    "intake-n_tubes": "26", "wanted-gauge_pa": "0.3", "site-t_water_c": "50 °F", "downcomer-roughness_m": "0.0015",
  };

  it("is in SI, whatever was typed", () => {
    expect(inputOf(fields, typed)).toEqual({
      faults: [],
      input: {
        supply: { type: "forebay", level_m: 1.9, flow_max_m3s: 0.0022 },
        downcomer: { bore_m: 0.0762, roughness_m: 1.5e-6 },
        intake: { n_tubes: 26 }, wanted: { gauge_pa: 30_000 }, site: { t_water_c: 10 },
      },
    });
  });

  it("leaves out what does not belong to the kind chosen, and keeps its text", () => {
    const texts = { ...typed, "supply-static_pa": "2.8", "supply-z_m": "0" };
    expect(inputOf(fields, texts).input["supply"]).toEqual({ type: "forebay", level_m: 1.9, flow_max_m3s: 0.0022 });
    expect(inputOf(fields, { ...texts, "supply-type": "hose_open" }).input["supply"]).toEqual({ type: "hose_open", static_pa: 280_000, z_m: 0 });
  });

  it("takes the choice that counts when none is made", () => {
    expect(applies(field("/riser/bore_m"), {})).toBe(true);
    expect(applies(field("/riser/outer_bore_m"), {})).toBe(false);
    expect(applies(field("/riser/outer_bore_m"), { "riser-kind": "annulus" })).toBe(true);
    expect(applies(field("/takeoff/receiver_gauge_pa"), {})).toBe(false);
  });

  it("leaves an empty field out, so that its default counts, and keeps a nought", () => {
    expect(inputOf(fields, { "site-altitude_m": " ", "site-t_air_c": "0" }).input).toEqual({ site: { t_air_c: 0 } });
  });

  it("says of each text that is no number where it stands", () => {
    const { faults } = inputOf(fields, { ...typed, "intake-n_tubes": "many", "supply-level_m": "1.900,5" });
    expect(faults.map((f) => f.field)).toEqual(["supply-level_m", "intake-n_tubes"]);
  });

  it.each(cases.map((c) => [c.name, c.input] as const))("of %s comes back from its texts unchanged", (_, input) => {
    const back = inputOf(fields, textsOf(fields, input));
    expect(back).toEqual({ faults: [], input });
    expect(same(back.input, input)).toBe(true);
  });
});

describe("same", () => {
  it("sees a difference, a lack, and no order", () => {
    expect(same({ a: { x: 1, y: 2 } }, { a: { y: 2, x: 1 } })).toBe(true);
    expect(same({ a: { x: 1 } }, { a: { x: 2 } })).toBe(false);
    expect(same({ a: { x: 1 } }, { a: {} })).toBe(false);
    expect(same({}, { a: { x: 1 } })).toBe(false);
  });
});

describe("the machine to start from", () => {
  const site: Schema<"Site"> = {
    ...{ project: 1, version: 1, name: "", source: null, gauged: "", note: "", fall_m: null, flow_m3s: null, static_pa: null },
    ...{ t_water_c: null, t_air_c: null, altitude_m: null, changed_at: null, changed_by: null, gauging: null, allowed_actions: [] },
  };

  it("gives every field that must be given, for a stream and for a hose, and none that does not belong", () => {
    for (const source of ["stream", "hose", null] as const) {
      const machine = startingMachine({ ...site, source });
      const texts = textsOf(fields, machine);
      const lacking = fields.filter((f) => f.required && f.kind !== "object" && applies(f, texts) && !texts[nameOf(f.at)]);
      expect(lacking.map((f) => f.at)).toEqual([]);
      expect(inputOf(fields, texts).input).toEqual(Object.fromEntries(Object.entries(machine).filter(([, g]) => Object.keys(g as object).length > 0)));
    }
  });

  it("stands inside the fall and takes no more than the flow", () => {
    const machine = startingMachine({ ...site, fall_m: 2.6, flow_m3s: 0.0034 }) as Record<string, Record<string, number>>;
    expect(machine["supply"]).toMatchObject({ level_m: 2.6, flow_max_m3s: 0.0034 });
    expect(machine["riser"]?.["outlet_m"]).toBeLessThan(2.6);
    expect(machine["riser"]?.["outlet_m"]).toBeGreaterThan(machine["chamber"]?.["high_m"] ?? Infinity);
    expect(machine["chamber"]?.["floor_m"]).toBe(0);
  });
});

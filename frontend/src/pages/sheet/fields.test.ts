import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { applies, inputOf, inUnits, labelOf, nameOf, same, textsOf, unitOf, type CalcField } from "./fields";
import { startingMachine } from "./start";
import { unitsIn } from "../../system";
import type { Schema } from "../../api/client";

// The declarations are copied from the calculation; see "source" in the files.
const read = (name: string) => JSON.parse(readFileSync(`src/pages/sheet/testdata/${name}.json`, "utf8")) as unknown;
const { inputs: fields } = read("fields") as { inputs: CalcField[] };
const { cases } = read("worked") as { cases: { name: string; input: Record<string, unknown> }[] };

const [metric, us, si] = [unitsIn("metric"), unitsIn("us"), unitsIn("si")];

const field = (at: string): CalcField => {
  const found = fields.find((f) => f.at === at);
  if (!found) {
    throw new Error(`no field ${at}`);
  }
  return found;
};

describe("units of the sheet", () => {
  it.each([
    ["/supply/level_m", "m", "ft", "m"],
    ["/downcomer/bore_m", "mm", "in", "m"],
    ["/intake/tube_od_m", "mm", "in", "m"],
    ["/riser/roughness_m", "mm", "in", "m"],
    ["/intake/tube_length_m", "m", "ft", "m"],
    ["/supply/flow_max_m3s", "L/min", "US gal/min", "m³/s"],
    ["/wanted/free_air_m3s", "L/min", "cfm", "m³/s"],
    ["/supply/static_pa", "bar", "psi", "Pa"],
    ["/site/t_water_c", "°C", "°F", "°C"],
    ["/chamber/plan_area_m2", "m²", "ft²", "m²"],
    ["/intake/n_tubes", "", "", ""],
  ])("%s is typed in %s, %s or %s", (at, ...names) => expect([metric, us, si].map((units) => unitOf(field(at), units).name)).toEqual(names));

  it("has a name of its own for every field", () => {
    const nameless = fields.filter((f) => ["number", "count", "choice"].includes(f.kind) && labelOf(f) === f.at.slice(f.at.lastIndexOf("/") + 1));
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

  it.each(cases.map((c) => [c.name, c.input] as const))("of %s comes back from its texts unchanged, in every system", (_, input) => {
    const exact = { ...input, tolerances: { "/downcomer/bore_m": 0.0005, "/chamber/lip_m": 0.003, "/site/t_water_c": 2 } };
    for (const units of [metric, us, si]) {
      expect(inputOf(fields, textsOf(fields, input, units))).toEqual({ faults: [], input });
      const back = inputOf(fields, textsOf(fields, exact, units));
      expect(back).toEqual({ faults: [], input: exact });
      expect(same(back.input, exact)).toBe(true);
    }
  });
});

describe("tolerances", () => {
  // ± 2 mm = 0.002 m; ± 1/16 in = 1.5875 mm; 2 % of 0.3 bar = 600 Pa.
  const typed = { "supply-type": "hose_open", "riser-outlet_m": "1.2", "riser-outlet_m-tolerance": "2 mm", "downcomer-bore_m": "3 in ± 1/16 in", "supply-static_pa": "0.3", "supply-static_pa-tolerance": "± 2 %" };

  it("stand beside the input, in SI, by the path of their field", () => {
    const { input, faults } = inputOf(fields, typed);
    expect(faults).toEqual([]);
    expect(input).toMatchObject({ riser: { outlet_m: 1.2 }, downcomer: { bore_m: 0.0762 } });
    expect(input["tolerances"]).toEqual({ "/riser/outlet_m": 0.002, "/downcomer/bore_m": 0.0015875, "/supply/static_pa": 600 });
  });

  it("are said to be wrong where they are typed", () => {
    const wrong = { ...typed, "riser-outlet_m": "", "downcomer-bore_m": "3 in ± 3 in", "intake-n_tubes": "26 ± 1" };
    expect(inputOf(fields, wrong).faults).toMatchObject([
      { field: "intake-n_tubes", message: expect.stringContaining("No tolerance") as string },
      { field: "downcomer-bore_m", message: expect.stringContaining("as large as the value") as string },
      { field: "riser-outlet_m-tolerance", message: expect.stringContaining("but no value") as string },
    ]);
  });

  it("have a place for what the server finds wrong", () => {
    expect(nameOf("/tolerances/~1riser~1outlet_m")).toBe("riser-outlet_m-tolerance");
  });
});

describe("a draft under other units", () => {
  const typed = { "supply-level_m": "1,9", "downcomer-bore_m": "63 ± 0.5", "riser-bore_m": "3 in", "supply-static_pa": "2.8", "site-t_water_c": "12", "riser-outlet_m": "5 ft 3", "intake-n_tubes": "26", "chamber-lip_m": "deep", "chamber-lip_m-tolerance": "3" };

  it("means what it meant, and says in which units that was typed", () => {
    const now = inUnits(fields, typed, us); // a draft from before there was a choice: metric
    expect(now).toEqual({ ...typed, units: "us", "supply-level_m": "1,9 m", "downcomer-bore_m": "63 mm ± 0.5", "supply-static_pa": "2.8 bar", "site-t_water_c": "12 °C", "chamber-lip_m-tolerance": "3 mm" });
    expect(inputOf(fields, now).input).toEqual(inputOf(fields, typed).input);
  });

  it("is the same after any way through the systems", () => {
    for (const first of [metric, us, si]) {
      const start = { ...typed, units: first.system, "downcomer-bore_m": "0.0625", "riser-bore_m": "0.25 ± 0.01" };
      const way = [us, si, metric, si, us].reduce<Record<string, string>>((texts, units) => inUnits(fields, texts, units), start);
      expect(inputOf(fields, way).input).toEqual(inputOf(fields, start).input);
    }
  });

  it("is left alone while the units are the same", () => {
    expect(inUnits(fields, { ...typed, units: "us" }, us)).toEqual({ ...typed, units: "us" });
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
      const texts = textsOf(fields, machine, metric);
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

import { describe, expect, it } from "vitest";
import { unitsIn } from "../../system";
import { all, changesOf, settingsOf, textsOf, write, type Settings } from "./settings";

/** Section 11 of the rules of safety: what counts where a group has set nothing. */
const usual: Settings = {
  p_low_pa: 10_000,
  p_brittle_max_pa: 50_000,
  e_low_j: 79,
  e_brittle_max_j: 79,
  e_competent_j: 1356,
  pv_home_j: 5000,
  hydro_factor: 1.5,
  gas_floor_m: 30,
  gas_floor_always: false,
  water_floor_m: 5,
  collapse_factor: 3,
  ram_factor: 0.25,
  hold_plastic_minutes: 60,
  hold_metal_minutes: 30,
  gauge_age_days: 365,
  cure_floor_hours: 24,
  certificate_months: 12,
  certificate_gas_months: 3,
  checkers_plain: 1,
  checkers_raised: 2,
};

describe("safety settings in words", () => {
  it("has a line for every setting that is a number", () => {
    const numbers = Object.keys(usual).filter((name) => name !== "gas_floor_always");
    expect(all.map((s) => s.name).sort()).toEqual(numbers.sort());
  });

  it("writes a bar litre as 100 J, and pressures in the member's unit", () => {
    const said = (name: string, system: string) => {
      const setting = all.find((s) => s.name === name) ?? expect.fail(name);
      return write(setting, usual, unitsIn(system));
    };
    expect(said("pv_home_j", "metric")).toBe("50\u202Fbar L");
    expect(said("p_brittle_max_pa", "metric")).toBe("0.5\u202Fbar");
    expect(said("p_brittle_max_pa", "us")).toBe("7.252\u202Fpsi");
    expect(said("hold_plastic_minutes", "metric")).toBe("60\u202Fmin");
  });

  it("leaves what was not touched as it is in force, to the last digit", () => {
    for (const system of ["metric", "us", "si"]) {
      expect(settingsOf(textsOf(usual, system), usual)).toEqual({ settings: usual });
    }
    const typed = { ...textsOf(usual, "us"), p_brittle_max_pa: "0.1 bar", gas_floor_always: "true" };
    expect(settingsOf(typed, usual)).toEqual({ settings: { ...usual, p_brittle_max_pa: 10_000, gas_floor_always: true } });
  });

  it("names what can't be read", () => {
    expect(settingsOf({ ...textsOf(usual, "metric"), hydro_factor: "", gas_floor_m: "far" }, usual)).toMatchObject({
      faults: [{ field: "gas_floor_m" }, { field: "hydro_factor" }],
    });
  });

  it("lists what a proposal changes, and which way", () => {
    const settings = { ...usual, hydro_factor: 1.75, hold_plastic_minutes: 45, gas_floor_always: true };
    const changes = changesOf(
      {
        ...{ id: 1, follows: 0, settings, before: usual, tightens: ["hydro_factor", "gas_floor_always"], loosens: ["hold_plastic_minutes"] },
        ...{ why: "", by: { id: 1, name: "Ines" }, at: "2026-11-30T12:00:00.000Z", signatures: [], state: "waiting", lacks: "", allowed_actions: [] },
      },
      unitsIn("metric"),
    );
    expect(changes.map((c) => [c.name, c.before, c.after, c.way])).toEqual([
      ["hydro_factor", "1.5", "1.75", "stricter"],
      ["hold_plastic_minutes", "60\u202Fmin", "45\u202Fmin", "looser"],
      ["gas_floor_always", "no", "yes", "stricter"],
    ]);
  });
});

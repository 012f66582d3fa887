import { describe, expect, it } from "vitest";
import { unitsIn } from "../../system";
import type { Build } from "../build/fetch";
import { changeOf, differencesOf, fieldAt, inUnits, nameOf, partOf, renewName, sayPlace, sayRenewed, withDifferences, type Place } from "./differences";

const input = {
  trompe: { riser: { bore_m: 0.152, outlet_m: 3.4 }, intake: { n_tubes: 32 }, downcomer: { length_m: 6 } },
  parts: [{ role: "chamber", name: "drum", joint: "fusion" }, { role: "riser", joint: "solvent" }],
} as unknown as Build["now"]["input"];
const places: Place[] = [
  { at: "/trompe/riser/outlet_m", kind: "number", unit: "m", about: "level at which the water leaves", value: 3 },
  { at: "/trompe/intake/n_tubes", kind: "count", unit: "", about: "number of air tubes", value: 32 },
  { at: "/trompe/downcomer/length_m", kind: "number", unit: "m", about: "length along the pipe", value: null },
  { at: "/parts/0/length_m", kind: "number", unit: "m", about: "length under pressure", value: 1.6 },
];
const build = { may_differ: places, renewable: ["/parts/0", "/parts/1/joint"], now: { input, differences: { "/trompe/riser/outlet_m": 3.4, "/trompe/downcomer/length_m": 6 }, renewed: {} } } as unknown as Build;
const [outlet, tubes, length] = ["/trompe/riser/outlet_m", "/trompe/intake/n_tubes", "/trompe/downcomer/length_m"] as const;
const typed = (texts: Record<string, string>) => ({ units: "metric", ...Object.fromEntries(Object.entries(texts).map(([at, text]) => [nameOf(at), text])) });

describe("what differs from a sheet", () => {
  it("is read in SI from what people write, feet and inches too", () => {
    // 1 ft = 0.3048 m, 1 in = 0.0254 m, exact by definition of 1959.
    expect(differencesOf(places, input, typed({ [outlet]: "11 ft 2 in", [tubes]: "28" }))).toEqual({ differences: { [outlet]: 3.4036, [tubes]: 28 }, faults: [] });
  });

  it("is nothing where the text is empty or says what the sheet says", () => {
    expect(differencesOf(places, input, typed({ [outlet]: "3,00 m", [tubes]: " " })).differences).toEqual({});
  });

  it("names the part with a fault of what can't be read", () => {
    const { faults } = differencesOf(places, input, typed({ [outlet]: "three" }));
    expect(faults).toHaveLength(1);
    expect(faults[0]).toMatchObject({ field: nameOf(outlet) });
    expect(faults[0]?.message).toMatch(/^Riser: level at which the water leaves: /);
  });

  it("is put into the sheet; what is taken back stands as drawn, or takes its default", () => {
    expect(withDifferences(build, { [tubes]: 28 })).toMatchObject({ trompe: { riser: { outlet_m: 3 }, intake: { n_tubes: 28 }, downcomer: { length_m: null } } });
    expect(input).toMatchObject({ trompe: { riser: { outlet_m: 3.4 } } }); // the machine as it stands is left alone
  });

  it("keeps its meaning under another system of units", () => {
    expect(inUnits(places, typed({ [outlet]: "3.4", [length]: "20 ft" }), unitsIn("us"))).toMatchObject({ units: "us", [nameOf(outlet)]: "3.4 m", [nameOf(length)]: "20 ft" });
  });
});

describe("the words and places of a change", () => {
  it("calls parts by what they are and what people call them", () => {
    expect(partOf("/parts/0/length_m", input)).toBe("Chamber “drum”");
    expect(partOf("/parts/1/joint", input)).toBe("Riser, part 2");
    expect(sayRenewed("/parts/1/joint", input)).toBe("Riser, part 2: its joint");
    expect(sayRenewed("/facts/relief_set_pa", input)).toBe("The relief valve");
    expect(places.map((p) => sayPlace(p, input))[1]).toBe("Intake: number of air tubes");
  });

  it("sends only what was ticked as renewed", () => {
    const { body } = changeOf(build, { ...typed({ [outlet]: "3.4" }), [renewName("/parts/1/joint")]: "yes", place: " mill ", note: "" });
    expect(body).toEqual({ differences: { [outlet]: 3.4 }, renewed: ["/parts/1/joint"], place: "mill", note: "" });
  });

  // Pointers within pointers are written as RFC 6901 has it: ~1 for /, ~0 for ~.
  it.each([
    ["/differences/~1trompe~1riser~1outlet_m", nameOf(outlet)],
    ["/differences", "differs"],
    ["/renewed/0", renewName("/parts/1/joint")],
    ["/place", "place"],
    ["/elsewhere", undefined],
  ])("a fault at %s stands at its field", (pointer, field) => {
    expect(fieldAt(pointer, ["/parts/1/joint"])).toBe(field);
  });
});

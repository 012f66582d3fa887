import { describe, expect, it } from "vitest";
import type { TestField, TestItem } from "./fetch";
import { placeOf, placesOf, valuesOf } from "./values";
import { labelOf, sayLimits } from "./words";

type Entry = TestField["entries"][number];
const entry = (more: Partial<Entry> = {}): Entry => ({ label: "", low: null, high: null, above_low: false, below_top: false, limits: "", goes_by: "", line: null, ...more });
const field = (more: Partial<TestField> & Pick<TestField, "name" | "kind">): TestField => ({
  unit: "",
  only_if: null,
  when: "",
  values: [],
  needs: [],
  confirm: null,
  ticks: null,
  repeats: false,
  entries: [entry()],
  ...more,
});
const item = (...fields: TestField[]): TestItem => ({
  id: "P08",
  stage: "prepare",
  point: "hold",
  title: "",
  do: "",
  why: "",
  after_failure: false,
  state: "open",
  text: "",
  waits_for: [],
  roles: [],
  lacks: [],
  fields,
  asks: [{ name: "ground_poor", text: "The ground is loose" }],
  entry: null,
  refused: [],
  signed: [],
  may_sign: [],
  lacking: "",
  uses_up: [],
});
const values = (i: TestItem, texts: Record<string, string>, taken: Parameters<typeof valuesOf>[2] = []) => valuesOf(i, texts, taken);

describe("what is sent of an item", () => {
  it("is a reading in the unit of the procedure, however it was typed", () => {
    const i = item(field({ name: "p_test", kind: "reading", unit: "bar" }), field({ name: "t_start", kind: "reading", unit: "degC" }));
    // 1 psi is 6894.757 Pa (NIST SP 811, appendix B.8); 50 °F is 10 °C.
    const made = values(i, { p_test: "15 psi", t_start: "50 °F" });
    expect("values" in made && made.values["p_test"]).toBeCloseTo(1.034214, 5);
    expect("values" in made && made.values["t_start"]).toBeCloseTo(10, 9);
    expect(values(i, { p_test: "0,42", t_start: "12.5" })).toEqual({ values: { p_test: 0.42, t_start: 12.5 } });
  });

  it("is one entry for each part, and a fault leads to the part that lacks one", () => {
    const i = item(field({ name: "rating", kind: "reading", unit: "bar", repeats: true, entries: [entry(), entry()] }));
    expect(values(i, { "rating-0": "16", "rating-1": "20" })).toEqual({ values: { rating: [16, 20] } });
    const made = values(i, { "rating-0": "16" });
    expect("faults" in made && made.faults.map((f) => placeOf(f.pointer, i))).toEqual(["rating-1"]);
  });

  it("is what the notebook shows, once it is ticked, and never before", () => {
    const digest = "ab".repeat(32);
    const i = item(field({ name: "revision_hash", kind: "text", confirm: digest }));
    expect(values(i, { revision_hash: "yes" })).toEqual({ values: { revision_hash: digest } });
    expect("faults" in values(i, {})).toBe(true);
  });

  it("counts ticks, and takes neither fewer nor more", () => {
    const i = item(field({ name: "joints_dry", kind: "confirm", ticks: 3 }));
    expect(values(i, { joints_dry: "1,3,2" })).toEqual({ values: { joints_dry: 3 } });
    expect("faults" in values(i, { joints_dry: "1,2" })).toBe(true);
  });

  it("asks for a gauge only where one was chosen", () => {
    const i = item(
      field({ name: "gauge_kind", kind: "choice", values: ["gauge", "manometer"] }),
      field({ name: "gauge", kind: "instrument", only_if: { choice: "gauge_kind", values: ["gauge"] } }),
      field({ name: "manometer_height", kind: "reading", unit: "m", only_if: { choice: "gauge_kind", values: ["manometer"] } }),
    );
    expect(placesOf(i, { gauge_kind: "manometer" }).map((p) => p.key)).toEqual(["gauge_kind", "manometer_height"]);
    expect(values(i, { gauge_kind: "gauge", gauge: "7", "gauge-height": "40 cm", manometer_height: "2" })).toEqual({ values: { gauge_kind: "gauge", gauge: { instrument: 7, height_m: 0.4 } } });
  });

  it("waits for pictures that are not sent", () => {
    const i = item(field({ name: "zone", kind: "photo" }));
    expect("faults" in values(i, {}, [{ place: "zone", id: null }])).toBe(true);
    expect("faults" in values(i, {}, [{ place: "other", id: 4 }])).toBe(true);
    expect(values(i, {}, [{ place: "zone", id: 4 }, { place: "zone", id: 6 }])).toEqual({ values: { zone: [4, 6] } });
  });

  it("says yes and no to what is asked beside, and nothing where nothing was said", () => {
    expect(values(item(), { "ask-ground_poor": "no" })).toEqual({ values: { ground_poor: false } });
    expect(values(item(), {})).toEqual({ values: {} });
  });
});

describe("the words of a field", () => {
  it("say its limits", () => {
    const said = (more: Partial<Entry>) => sayLimits(field({ name: "x", kind: "reading", unit: "bar", entries: [entry(more)] }), 0);
    expect(said({ low: 0.4, high: 0.6 })).toBe("Must be from 0.4 to 0.6\u202Fbar.");
    expect(said({ low: 0, above_low: true, high: 0.25 })).toBe("Must be more than 0\u202Fbar, at most 0.25\u202Fbar.");
    expect(said({ low: 16 })).toBe("Must be at least 16\u202Fbar.");
    expect(said({ high: 85, below_top: true })).toBe("Must be less than 85\u202Fbar.");
    expect(said({ limits: "value <= gauge_max_bar" })).toContain("once the readings before it are recorded");
    expect(said({ low: 12.3, goes_by: "That is for the highest setting, 1.076 bar." })).toBe("Must be at least 12.3\u202Fbar. That is for the highest setting, 1.076 bar.");
    expect(said({})).toBe("");
  });

  it("are rounded so that what is said passes", () => {
    const said = (more: Partial<Entry>) => sayLimits(field({ name: "x", kind: "reading", unit: "mm", entries: [entry(more)] }), 0);
    expect(said({ low: 12.34521 })).toBe("Must be at least 12.346\u202Fmm.");
    expect(said({ high: 1.076829 })).toBe("Must be at most 1.0768\u202Fmm.");
    expect(said({ high: -1.07681 })).toBe("Must be at most \u22121.0769\u202Fmm.");
    expect(said({ low: 0.1 + 0.2 })).toBe("Must be at least 0.3\u202Fmm.");
  });

  it("name the part or the stage that a repeated one is about", () => {
    const f = field({ name: "rating", kind: "reading", repeats: true, entries: [entry({ label: "Rating, steel drum" }), entry({ label: "Rating 2" })] });
    expect(labelOf(f, 0)).toBe("Rating as printed: steel drum");
    expect(labelOf(f, 1)).toBe("Rating as printed 2");
  });
});

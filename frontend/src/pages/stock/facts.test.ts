import { describe, expect, it } from "vitest";
import type { Schema } from "../../api/client";
import { emptyTexts, factsOf, textsOf } from "./facts";
import { money } from "./money";
import { namesOf } from "./names";

const line = { key: "iso-4427-2/pe100-sdr11/d63-pn16", standard: "ISO 4427-2", series: "PE100 SDR11", designation: "d63 PN16" } as Schema<"CatalogueLine">;
const names = namesOf([line]);
const name = "ISO 4427-2, PE100 SDR11, d63 PN16";

// Factors: 1 ft = 0.3048 m, 1 in = 25.4 mm, exact by definition.
describe("a line of the stock list", () => {
  it("reads an offcut, by the name of its pipe", () => {
    const texts = { ...emptyTexts("us", {}), thing: ` ${name} `, length: "4.5 ft", quantity: "2", price: "1,5", kerf: "1/8", note: "rack" };
    expect(factsOf(texts, names)).toEqual({
      facts: { key: line.key, for_sale: false, length_m: 4.5 * 0.3048, quantity: 2, kerf_m: null, trim_m: null, price: 150, note: "rack" },
    });
  });

  it("reads how something is sold, and asks for no number then", () => {
    const texts = { ...emptyTexts("metric", { sale: true, thing: "ball valve 1/2" }), quantity: "two", price: "8.70" };
    expect(factsOf(texts, names)).toEqual({
      facts: { key: "ball valve 1/2", for_sale: true, length_m: null, quantity: null, kerf_m: null, trim_m: null, price: 870, note: "" },
    });
    expect(factsOf({ ...texts, length: "3", kerf: "2" }, names)).toMatchObject({ facts: { length_m: 3, kerf_m: 0.002 } });
  });

  it("says everything that is unclear, each at its field", () => {
    const made = factsOf({ ...emptyTexts("metric", {}), length: "long", quantity: "1.5", price: "cheap" }, names);
    expect("faults" in made ? made.faults.map((f) => f.field) : []).toEqual(["thing", "length", "quantity", "price"]);
  });

  it("writes a line back as it would be typed", () => {
    const facts = { key: line.key, for_sale: true, length_m: 6.096, quantity: null, kerf_m: 0.003, trim_m: null, price: 1250, note: "" };
    const texts = textsOf(facts, names, "us");
    expect(texts).toMatchObject({ kind: "sale", thing: name, length: "20", kerf: "3 mm", price: "12.50" });
    expect(factsOf(texts, names)).toEqual({ facts });
  });
});

describe("money", () => {
  it("is a bare number with two places", () => {
    expect(money(870)).toBe("8.70");
    expect(money(123456789)).toBe("1\u202F234\u202F567.89");
  });
});

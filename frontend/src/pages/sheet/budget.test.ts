import { describe, expect, it } from "vitest";
import { columnOf } from "./budget";

// Head budget of the garden machine: table of section 8 of the specification, column 08, in metres.
const garden = [
  { id: "intake_contraction", words: "", m: 0.101 },
  { id: "mixing", words: "", m: 0.0655 },
  { id: "air_intake", words: "", m: 0.0006 },
  { id: "slip", words: "", m: 0.7052 },
  { id: "downcomer_friction", words: "", m: 0.0422 },
  { id: "acceleration", words: "", m: 0.001 },
  { id: "downcomer_exit", words: "", m: 0.0334 },
  { id: "bubble_rise", words: "", m: 0.0058 },
  { id: "dissolved_air", words: "", m: 0.0019 },
  { id: "riser", words: "", m: 0.0118 },
  { id: "air_weight", words: "", m: -0.001 },
  { id: "compression_delivered", words: "", m: 0.5423 },
];

describe("the column of fall", () => {
  const c = columnOf(garden, 300);

  it("is to scale: from headwater to outlet it is as long as the fall of 1.5096 m", () => {
    const delivered = c.parts.find((p) => p.id === "compression_delivered");
    expect((delivered?.height ?? 0) / (c.height - c.headwater)).toBeCloseTo(0.5423 / 1.5096, 3);
  });

  it("has its parts without gap or overlap, the air that is delivered last", () => {
    c.parts.forEach((p, i) => expect(p.y).toBeCloseTo(i === 0 ? 0 : (c.parts[i - 1]?.y ?? 0) + (c.parts[i - 1]?.height ?? 0), 9));
    expect(c.parts.at(-1)?.id).toBe("compression_delivered");
  });

  it("puts what is too thin together, and loses nothing", () => {
    expect(c.parts.map((p) => p.id)).toEqual(["intake_contraction", "mixing", "slip", "downcomer_friction", "small", "compression_delivered"]);
    expect(c.parts.reduce((sum, p) => sum + p.m, 0)).toBeCloseTo(1.5096 + 0.001, 3);
  });

  it("keeps its texts apart and inside, however thin the parts", () => {
    const many = columnOf(Array.from({ length: 12 }, (_, i) => ({ id: String(i), words: "", m: i === 0 ? 5 : 0.2 })), 300);
    many.parts.slice(1).forEach((p, i) => expect(p.at - (many.parts[i]?.at ?? 0)).toBeGreaterThanOrEqual(20.9));
    expect(Math.max(...many.parts.map((p) => p.at))).toBeLessThanOrEqual(300);
  });
});

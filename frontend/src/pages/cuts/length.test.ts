import { describe, expect, it } from "vitest";
import { cutLength } from "./length";

describe("cutLength", () => {
  it("rounds to what a tape shows", () => {
    expect(cutLength(1.5038, "metric")).toBe("1504\u202Fmm");
    expect(cutLength(12.3456, "si")).toBe("12\u202F346\u202Fmm");
  });

  it("writes inches in the least sixteenths, eighths, quarters", () => {
    // 1 in = 25.4 mm exactly (definition of 1959).
    expect(cutLength(0.0254 * 59.1875, "us")).toBe("59 3/16\u202Fin");
    expect(cutLength(0.0254 * 12.5, "us")).toBe("12 1/2\u202Fin");
    expect(cutLength(0.0254 * 0.75, "us")).toBe("3/4\u202Fin");
    expect(cutLength(0.0254 * 7.99, "us")).toBe("8\u202Fin");
  });
});

import { describe, expect, it } from "vitest";
import { unitsIn } from "../../system";
import { gist } from "./say";

const metric = unitsIn("metric");
const space = "\u202F";

// The expected texts are the worked numbers of the specification's tables
// (section 8), converted by hand.
describe("what stands on the drawing", () => {
  it.each([
    [0.0678, "bore", `67.8${space}mm`],
    [2.896, "bore", `2.9${space}m`],
    [0.0022, "flow", `132${space}L/min`],
    [37.179, "flow", `37.2${space}m³/s`],
    [4.304e-4, "free_air", `25.8${space}L/min`],
    [32076, "pressure", `0.321${space}bar`],
    [-86.6, "level", `−86.60${space}m`],
  ] as const)("%d as %s", (value, quantity, want) => {
    expect(metric.write(value, quantity)).toBe(want);
  });

  it("says why a machine does not work, in the words of the calculation", () => {
    expect(gist({ status: "no_head", evidence: "A", message: "There is no fall to use.", warnings: [] }, metric)).toBe("There is no fall to use.");
  });
});

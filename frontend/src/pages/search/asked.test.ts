import { describe, expect, test } from "vitest";
import { unitsIn } from "../../system";
import { bodyOf, fieldOf, startOf } from "./asked";
import { say } from "./say";

const start = startOf(null, unitsIn("metric"), "L/min");

describe("what is asked", () => {
  test("is read in the units of the form, and what is empty is left out", () => {
    // 60 L/min are 0.001 m³/s; 8 ft are 2.4384 m (exact since 1959)
    expect(bodyOf({ ...start, flow: "60", fall: "8 ft" })).toEqual({ body: { flow_m3s: 0.001, fall_m: 2.4384, wish: "most_air" } });
  });

  test("lacks what the wish needs", () => {
    const lacking = (texts: Partial<typeof start>) => {
      const made = bodyOf({ ...start, ...texts });
      return "faults" in made ? made.faults.map((f) => f.field) : [];
    };
    expect(lacking({})).toEqual(["flow", "fall"]);
    expect(lacking({ flow: "60", fall: "2", wish: "pressure" })).toEqual(["gauge"]);
    expect(lacking({ flow: "60", fall: "2", wish: "least_digging" })).toEqual(["air"]);
    expect(lacking({ flow: "much", fall: "2" })).toEqual(["flow"]);
  });

  test("finds its fields again in the server's answer", () => {
    expect(fieldOf("/free_air_m3s")).toBe("air");
    expect(fieldOf("/wish")).toBe("wish");
    expect(fieldOf("/nothing")).toBeUndefined();
  });
});

test("sentences carry their values in the units of the member", () => {
  // 1 psi is 6894.757 Pa (definition); 0.001 m³/s are 60 L/min
  const sentence = { text: "{1} at {0}, and {2}.", values: [{ value: 6894.757, of: "pressure" as const }, { value: 0.001, of: "air" as const }, { value: 0.02, of: "plastic" as const }] };
  expect(say(sentence, unitsIn("metric")).replaceAll("\u202F", " ")).toBe("60 L/min at 0.0689 bar, and 20 L.");
  expect(say(sentence, unitsIn("us")).replaceAll("\u202F", " ")).toContain(" at 1 psi");
});

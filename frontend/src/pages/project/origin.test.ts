import { expect, test } from "vitest";
import { crewOf } from "./origin";

const origin = { group: "Mill Lane", at: "2026-03-04T12:00:00Z" };

test("a crew is named; where there is none, it says whether there ever was one here", () => {
  expect(crewOf({ crew: [{ name: "Petra" }, { name: "Wen" }], origin })).toBe(": Petra and Wen");
  expect(crewOf({ crew: [], origin: null })).toBe(", and nobody is left on it");
  expect(crewOf({ crew: [], origin })).toBe(", and nobody of this group is on it. Brought in from Mill Lane on 4\u00a0Mar\u00a02026");
});

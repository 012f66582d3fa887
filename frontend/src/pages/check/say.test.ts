import { describe, expect, test } from "vitest";
import type { Schema } from "../../api/client";
import type { Check } from "./fetch";
import { countWeights, sayCheck, sayOpen, whyNot } from "./say";

const who = (id: number, name: string) => ({ id, name });
const at = "2026-05-03T10:00:00Z";
const said = (id: number, name: string, outcome: "clear" | "return", counts = true) => ({ outcome, note: "because", who: who(id, name), at, link: id, counts });

function check(of: Partial<Check>): Check {
  return {
    ...{ letter: "B", state: "in_check", started_at: at, started_by: who(1, "Ada"), sheet_count: 2, project: 1, design: 1, version: 4, outcomes: [], end: null },
    issue: { sheet: 2, digest: "0".repeat(64), pressure_hash: "1".repeat(64), class: "raised", checkers: 2, note: "", issued_by: who(1, "Ada"), issued_at: at, asked: [], link: 1 },
    ...{ open_remarks: { notes: 0, queries: 0, stoppers: 0 }, recalculations: [], may_check: [], lacks: [], allowed_actions: [], build_count: 0 },
    ...of,
  };
}

test("how many have said clear is counted without those who came onto the crew since", () => {
  expect(sayCheck(check({}))).toBe("None of two checkers has said clear yet.");
  expect(sayCheck(check({ outcomes: [said(2, "Bo", "clear"), said(3, "Cy", "clear", false)] }))).toBe("One of two checkers has said clear.");
});

test("a letter that was returned says by whom and why, or that its crew took it back", () => {
  expect(sayCheck(check({ state: "returned", outcomes: [said(2, "Bo", "return")] }))).toBe("Bo returned letter B: “because”.");
  expect(sayCheck(check({ state: "returned", end: { kind: "taken_back", reason: "", who: who(1, "Ada"), at, link: 2 } }))).toContain("Ada took letter B back");
  expect(sayCheck(check({ state: "returned", issue: null }))).toContain("left behind");
});

test("a withdrawn letter says that it must not be built", () => {
  expect(sayCheck(check({ state: "withdrawn", end: { kind: "withdrawn", reason: "The wall is thinner.", who: who(1, "Ada"), at, link: 2 } }))).toBe(
    "Letter B was withdrawn by Ada: “The wall is thinner.” It must not be built.",
  );
});

test("weights are counted in words, the heaviest first", () => {
  expect(countWeights({ note: 2, query: 0, stopper: 1 })).toBe("one stopper and two notes");
  expect(sayOpen({ notes: 0, queries: 1, stoppers: 0 })).toBe("One query stands open.");
  expect(sayOpen({ notes: 0, queries: 0, stoppers: 0 })).toBe("");
});

describe("why a reader may not check", () => {
  const project = { crew: [who(1, "Ada")], closed_at: null } as unknown as Schema<"Project">;
  const reader = (id: number, ...roles: string[]) => ({ id, roles: ["member", ...roles] });

  test("the person comes before the role", () => {
    expect(whyNot(check({}), project, reader(1, "checker"))).toContain("You are on the crew");
    expect(whyNot(check({}), project, reader(4))).toContain("takes the role of checker");
    expect(whyNot(check({}), project, reader(5, "checker"))).toContain("on the crew of this project once");
    expect(whyNot(check({ outcomes: [said(2, "Bo", "clear")] }), project, reader(2, "checker"))).toContain("You said clear");
  });

  test("nothing is said where the reader may, or where nobody checks", () => {
    expect(whyNot(check({ allowed_actions: ["check_design"] }), project, reader(2, "checker"))).toBeNull();
    expect(whyNot(check({ state: "cleared" }), project, reader(1))).toBeNull();
  });
});

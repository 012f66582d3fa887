import { describe, expect, it } from "vitest";
import { partsOf, sayFreedom } from "./budget";

const line = (name: string, signed: number | null, source = "") => ({ name, source, signed, nu: "inf" as const, instrument: false });

// By hand, after JCGM 100:2008, 5.2.2: what is one error adds before it is squared.
describe("the errors of a value", () => {
  it("adds lines of one source with their signs, and leaves others apart", () => {
    const parts = partsOf({ lines: [line("zero at the top", 3, "gauge"), line("zero at the foot", -1, "gauge"), line("repeats", 4)] });
    expect(parts.map((p) => [p.name, p.signed, p.share])).toEqual([
      ["repeats", 4, 16 / 20],
      ["zero at the top and zero at the foot", 2, 4 / 20],
    ]);
  });

  it("does not take lines without a source for one error", () => {
    expect(partsOf({ lines: [line("a", 1), line("b", 1)] }).map((p) => p.share)).toEqual([0.5, 0.5]);
  });

  it("puts first what nobody knows, and then no line has a share", () => {
    const parts = partsOf({ lines: [line("repeats", 4), line("smallest step", null)] });
    expect(parts.map((p) => [p.name, p.share])).toEqual([
      ["smallest step", null],
      ["repeats", null],
    ]);
  });

  it.each([
    ["inf", "∞"],
    [2, "2"],
    [7.9, "7"],
    [250, "over 100"],
  ] as const)("%s degrees of freedom", (nu, said) => {
    expect(sayFreedom(nu)).toBe(said);
  });
});

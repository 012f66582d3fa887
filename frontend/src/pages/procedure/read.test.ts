import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { read, stages } from "./read";

const first = readFileSync("../calc/procedure/procedure.json", "utf8");

describe("a procedure", () => {
  // Section 7 of the rules of safety: 41 items, in seven stages.
  it("shows all items of the first one, by stage", () => {
    const p = read(first);
    expect(p.items.length).toBe(41);
    expect(stages(p).map((s) => s.stage)).toEqual(["before", "prepare", "pressurise", "hold", "release", "air", "close"]);
    expect(stages(p).flatMap((s) => s.items)).toHaveLength(41);
    for (const i of p.items) {
      expect([i.id, i.title, i.do, i.why].every((t) => t !== ""), i.id).toBe(true);
      expect(i.sign.length, i.id).toBeGreaterThan(0);
    }
    expect(p.items[1]?.also).toContain("competent, when gas_decision");
    expect(p.short).toContain("C04");
  });

  it("shows nothing of what is no procedure", () => {
    expect(read("{").items).toEqual([]);
    expect(read('{"items": [3, {"id": 7}]}').items.map((i) => i.id)).toEqual(["", ""]);
  });
});

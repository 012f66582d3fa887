import { describe, expect, it } from "vitest";
import { merge } from "./merge";

const from = { fall: "2.6", flow: "3.4", note: "" };

// The rows are all that can happen to one text in a merge of three (common
// practice, no source): nobody, one, the other, both alike, both apart.
describe("merge", () => {
  it("keeps mine where the other one changed nothing", () => {
    expect(merge({ ...from, fall: "3.1" }, from, from)).toEqual({ texts: { ...from, fall: "3.1" }, taken: [], both: [] });
  });

  it("follows the other one where I changed nothing", () => {
    expect(merge(from, from, { ...from, note: "Gate is locked" })).toEqual({ texts: { ...from, note: "Gate is locked" }, taken: ["note"], both: [] });
  });

  it("has nothing to say where both typed the same", () => {
    expect(merge({ ...from, fall: "3.1 " }, from, { ...from, fall: "3.1" })).toMatchObject({ taken: [], both: [] });
  });

  it("keeps mine and shows both where both changed one text apart", () => {
    const met = merge({ ...from, fall: "3.1", flow: "3.0" }, from, { ...from, fall: "2.9", note: "Gate is locked" });
    expect(met).toEqual({ texts: { fall: "3.1", flow: "3.0", note: "Gate is locked" }, taken: ["note"], both: ["fall"] });
  });

  it("takes nothing unseen when what we both began with is not known", () => {
    expect(merge(from, null, { ...from, fall: "2.9" })).toEqual({ texts: from, taken: [], both: ["fall"] });
  });

  // Two people at one list (common practice, no source): entry 2 of one is entry 1 of the other.
  const list = { "uses-count": "2", "uses-0-kind": "forge", "uses-1-kind": "airlift", "uses-1-name": "" };
  const shorter = { ...list, "uses-count": "1", "uses-0-kind": "airlift", "uses-1-kind": "" };

  it("keeps my list whole where I wrote in it and the other one took an entry out", () => {
    const mine = { ...list, "uses-1-name": "garden" };
    expect(merge(mine, list, shorter)).toEqual({ texts: mine, taken: [], both: ["uses-count"] });
  });

  it("follows the other one's shorter list where I changed nothing in mine", () => {
    expect(merge(list, list, shorter).texts).toEqual(shorter);
  });

  it("merges a list field by field where no entry came or went", () => {
    const met = merge({ ...list, "uses-1-name": "garden" }, list, { ...list, "uses-0-kind": "tool_air" });
    expect(met).toEqual({ texts: { ...list, "uses-1-name": "garden", "uses-0-kind": "tool_air" }, taken: ["uses-0-kind"], both: [] });
  });

  it("takes a count of things for no list", () => {
    const riser = { "riser-count": "1", "riser-kind": "pipe" };
    expect(merge({ ...riser, "riser-count": "2" }, riser, { ...riser, "riser-kind": "ring" })).toMatchObject({ texts: { "riser-count": "2", "riser-kind": "ring" }, taken: ["riser-kind"], both: [] });
  });
});

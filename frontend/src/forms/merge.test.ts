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
});

import { describe, expect, it } from "vitest";
import { entriesOf } from "../parts/ErrorSummary/ErrorSummary";
import { troubleFrom } from "./problem";

const invalid = {
  type: "/problems/invalid",
  title: "Something can't be used",
  status: 422,
  detail: "Nothing was saved.",
  instance: "/requests/7f3a",
  code: "invalid",
  fields: [
    { pointer: "/fall_m", code: "range", message: "This must lie between 0 and 1000 m." },
    { pointer: "/elsewhere/0", code: "unknown_field", message: "This is not known here." },
  ],
};

describe("troubleFrom", () => {
  it("keeps the server's words and every fault", () => {
    const t = troubleFrom(422, invalid);
    expect(t).toMatchObject({ kind: "invalid", code: "invalid", title: "Something can't be used", detail: "Nothing was saved." });
    expect(t.faults).toEqual(invalid.fields);
    expect(t.reference).toBe("/requests/7f3a");
  });

  // The statuses are those of the contract, api/openapi.yaml, table ProblemCode.
  it.each([
    [400, "invalid"],
    [401, "expired"],
    [403, "forbidden"],
    [404, "missing"],
    [409, "invalid"],
    [412, "stale"],
    [413, "invalid"],
    [415, "invalid"],
    [422, "invalid"],
    [428, "stale"],
    [429, "busy"],
    [500, "broken"],
    [503, "busy"],
  ])("%d is %s", (status, kind) => {
    expect(troubleFrom(status, null).kind).toBe(kind);
  });

  it.each([null, "<html>Bad gateway</html>", [], { title: 7, fields: "many" }])("makes a sentence of %j too", (body) => {
    const t = troubleFrom(500, body);
    expect(t.title.length).toBeGreaterThan(10);
    expect(t.faults).toEqual([]);
  });

  it("counts a proxy without a server as no connection", () => {
    expect(troubleFrom(502, "<html>").kind).toBe("offline");
    expect(troubleFrom(504, "<html>").kind).toBe("offline");
  });
});

describe("entriesOf", () => {
  it("leads each fault to the field its pointer names, in the same words", () => {
    const entries = entriesOf(troubleFrom(422, invalid), (p) => (p === "/fall_m" ? "fall" : undefined));
    expect(entries).toEqual([
      { field: "fall", message: "This must lie between 0 and 1000 m." },
      { message: "This is not known here." },
    ]);
  });
});

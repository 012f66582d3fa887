import { describe, expect, it } from "vitest";
import { codeIn } from "../../parts/Entrance/code";
import { sayAct, sayRoles, type Act, type Role } from "./words";

const ines = { id: 1, name: "Ines" };
const petra = { id: 2, name: "Petra" };

function rolesSet(about: Act["by"], before: Role[], after: Role[]): string {
  return sayAct({ id: 1, kind: "roles_set", at: "2026-11-25T12:00:00.000Z", by: ines, about, before: { roles: before }, after: { roles: after } });
}

// The sentences are what a reader would say; common practice, no source.
describe("an act on record", () => {
  it("says what was given and what was taken", () => {
    expect(rolesSet(petra, ["member", "checker"], ["member", "steward", "keeper"])).toBe(
      "Ines gave Petra the role of steward and keeper and took the role of checker from Petra.",
    );
    expect(rolesSet(petra, ["member"], ["member"])).toBe("Ines left the roles of Petra as they were.");
  });

  it("tells laying a role down from taking it away", () => {
    expect(rolesSet(ines, ["member", "keeper"], ["member"])).toBe("Ines laid down the role of keeper.");
  });

  it("names only the settings that changed", () => {
    const before = { name: "Thornwick", units: "metric", time_zone: "UTC" } as const;
    const act = { id: 1, kind: "settings_set", at: "2026-11-25T12:00:00.000Z", by: ines, about: null, before } as const;
    expect(sayAct({ ...act, after: { ...before, time_zone: "Europe/Oslo" } })).toBe("Ines set its time zone to Europe/Oslo.");
  });
});

describe("roles", () => {
  it("are read out in one order, and member only when there is nothing else", () => {
    expect(sayRoles(["member", "keeper", "checker"])).toBe("checker and keeper");
    expect(sayRoles(["member"])).toBe("member");
  });
});

describe("the code of a link", () => {
  it("is what stands behind the #, if it can be one", () => {
    expect(codeIn("#ABCD-EFGH-JKLM")).toBe("ABCD-EFGH-JKLM");
    expect(codeIn("")).toBe("");
    expect(codeIn("#abcdefghjklm")).toBe("abcdefghjklm");
    expect(codeIn("#page"), "the skip link").toBe("");
    expect(codeIn("#ABCD-EFGH-JKL<")).toBe("");
  });
});

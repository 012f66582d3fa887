import { afterEach, expect, it } from "vitest";
import { signedIn } from "./api/session";
import { dated, day, when } from "./words";

const member = { id: 7, name: "Petra", address: "petra@thornwick.example", roles: ["member"], units: "metric", own_units: null, signing_code_set: false } as const;

function signInFrom(time_zone: string) {
  signedIn({ access_token: "t", expires_in_s: 600, member: { ...member, roles: [...member.roles], time_zone } });
}

afterEach(() => signInFrom("UTC"));

// Asia/Kathmandu is 5 h 45 min ahead of UTC: IANA time zone database, file asia, from memory.
it("says times and days in the time zone of the group", () => {
  signInFrom("Asia/Kathmandu");
  expect(when("2026-11-25T23:30:00.000Z")).toBe("26 Nov 2026, 05:15");
  expect(day("2026-11-25T23:30:00.000Z")).toBe("26\u00a0Nov\u00a02026");
});

it("still says a time when the browser does not know the zone", () => {
  signInFrom("Mars/Thornwick");
  expect(when("2026-11-25T12:00:00.000Z")).toContain("Nov 2026");
});

it("writes a text that is a date as a day, and leaves any other", () => {
  expect(dated("2027-09-18")).toBe("18\u00a0Sept\u00a02027");
  expect(dated("2027-09-18 was the day")).toBe("2027-09-18 was the day");
});

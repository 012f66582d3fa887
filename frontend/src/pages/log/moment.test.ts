import { expect, test } from "vitest";
import { utcOf, wallOf } from "./moment";

// Central European Time is UTC+1, summer time UTC+2 from 01:00 UTC on the last
// Sunday of March to 01:00 UTC on that of October (Directive 2000/84/EC); New
// Zealand stands at UTC+13 in its summer, Nepal at UTC+5:45 (from memory).
test.each([
  ["2026-01-15T09:30", "Europe/Stockholm", "2026-01-15T08:30:00.000Z"],
  ["2026-07-15T09:30", "Europe/Stockholm", "2026-07-15T07:30:00.000Z"],
  ["2026-03-29T01:59", "Europe/Stockholm", "2026-03-29T00:59:00.000Z"],
  ["2026-03-29T03:00", "Europe/Stockholm", "2026-03-29T01:00:00.000Z"],
  ["2026-10-25T03:30", "Europe/Stockholm", "2026-10-25T02:30:00.000Z"],
  ["2026-01-01T00:10", "Pacific/Auckland", "2025-12-31T11:10:00.000Z"],
  ["2026-05-01T12:00", "Asia/Kathmandu", "2026-05-01T06:15:00.000Z"],
  ["2026-05-01T12:00", "UTC", "2026-05-01T12:00:00.000Z"],
])("%s on a wall of %s is %s", (wall, zone, utc) => {
  expect(utcOf(wall, zone)?.toISOString()).toBe(utc);
  expect(wallOf(new Date(utc), zone)).toBe(wall);
});

test("what is no day and time is none", () => {
  expect(utcOf("", "UTC")).toBeNull();
  expect(utcOf("yesterday", "UTC")).toBeNull();
  expect(utcOf("2026-13-01T09:00", "UTC")).toBeNull();
});

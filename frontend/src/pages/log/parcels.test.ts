import { expect, test } from "vitest";
import type { Held } from "./held";
import { faultsOf, parcelsOf, type EntryTexts, type Writing } from "./parcels";

const now = new Date("2026-08-12T09:30:00Z");
const writing: Writing = { account: 1, project: 3, build: 7, strikes: null, zone: "UTC" };
const texts: EntryTexts = { text: " Joint weeps ", happened: "", incident: "", machine: "" };
const held: Held[] = [{ key: "k1", account: 1, form: "log-3", name: "joint & clamp.jpg", picture: true, body: new Blob(["jpeg"]) }];

test("files go before the entry that refers to them, each under its own key", () => {
  const [picture, entry, ...more] = parcelsOf(writing, texts, held, "k2", now);
  expect(more).toEqual([]);
  expect(picture).toMatchObject({ key: "k1", path: "/api/v1/projects/3/files?client_key=k1&name=joint%20%26%20clamp.jpg", says: "Picture joint & clamp.jpg" });
  expect(entry).toMatchObject({
    key: "k2",
    path: "/api/v1/projects/3/log",
    body: { build: 7, text: "Joint weeps", incident: false, strikes: null, happened_at: "2026-08-12T09:30:00.000Z", files: [{ given_to: "k1" }], client_key: "k2" },
  });
});

test("a correction leaves it to the notebook what it is about", () => {
  expect(parcelsOf({ ...writing, strikes: 12 }, texts, [], "k2", now)[0]?.body).toMatchObject({ build: null, strikes: 12 });
});

test("an entry that arrives later still says when it happened", () => {
  expect(parcelsOf(writing, { ...texts, happened: "2026-08-12T07:05" }, [], "k2", now)[0]?.body).toMatchObject({ happened_at: "2026-08-12T07:05:00.000Z" });
});

// The rules of an entry: some words or a file, words with an incident, and no moment that is still to come.
test.each<[EntryTexts, Held[], string[]]>([
  [texts, [], []],
  [{ ...texts, text: " " }, held, []],
  [{ ...texts, text: " " }, [], ["text"]],
  [{ ...texts, text: "", incident: "yes" }, held, ["text"]],
  [{ ...texts, happened: "2026-08-12T09:31" }, [], ["happened"]],
  [{ ...texts, text: "x".repeat(4001) }, [], ["text"]],
])("faults of %o", (of, files, fields) => {
  expect(faultsOf(of, files, "UTC", now).map((f) => f.field)).toEqual(fields);
});

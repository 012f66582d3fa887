// @vitest-environment node
import "fake-indexeddb/auto";
import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { deliver, put, putAll, throwAway, tryAgain } from "./outbox";
import { readAll } from "./store";

// What the notebook answers to each request, in order, and what it was asked.
let answers: (() => Response | Promise<Response>)[];
let asked: { path: string; body: unknown; media: string | null }[];

vi.hoisted(() => {
  Object.assign(globalThis, { location: { origin: "http://leat.example" }, navigator: {} });
});
vi.mock("../api/session", () => ({
  freshToken: () => Promise.resolve("token"),
  SessionEnded: class extends Error {},
  ServerTrouble: class extends Error {},
}));

const created = (id: number) => () => new Response(JSON.stringify({ id }), { status: 201 });
const unreached = () => Promise.reject(new TypeError("no route"));
const refused = () => new Response(JSON.stringify({ title: "Refused.", detail: "The log is closed." }), { status: 409 });

beforeEach(() => {
  answers = [];
  asked = [];
  vi.stubGlobal("fetch", async (r: Request) => {
    const media = r.headers.get("Content-Type");
    asked.push({ path: new URL(r.url).pathname, media, body: media === "application/json" ? await r.json() : (await r.arrayBuffer()).byteLength });
    return (answers.shift() ?? unreached)();
  });
});

afterEach(async () => {
  for (const account of [1, 2]) {
    for (const p of await readAll(account)) {
      await throwAway(p.key);
    }
  }
});

const entry = (text: string, account = 1) => ({ account, about: "log of 3", says: text, path: "/api/v1/projects/3/log", body: { text } });

test("what can't be sent stays, in order, and goes once there is signal", async () => {
  await put(entry("first"));
  await put(entry("second"));
  await deliver(1);
  expect((await readAll(1)).map((p) => p.says)).toEqual(["first", "second"]);
  asked = [];
  answers = [created(7), created(8)];
  expect(await deliver(1)).toBeNull();
  expect(asked.map((a) => a.body)).toEqual([{ text: "first" }, { text: "second" }]);
  expect(await readAll(1)).toEqual([]);
});

test("an entry refers to a picture by the id that it got", async () => {
  const key = await put({ account: 1, about: "log of 3", says: "picture", path: "/api/v1/projects/3/files", body: new Blob(["jpeg"], { type: "image/jpeg" }) });
  await put({ ...entry("leak"), body: { text: "leak", files: [{ given_to: key }] } });
  await deliver(1);
  asked = [];
  answers = [created(41), created(42)];
  await deliver(1);
  expect(asked).toEqual([
    { path: "/api/v1/projects/3/files", media: "image/jpeg", body: 4 },
    { path: "/api/v1/projects/3/log", media: "application/json", body: { text: "leak", files: [41] } },
  ]);
});

test("an entry goes without a picture that was refused and thrown away, and never before", async () => {
  const picture = (name: string, key: string) => ({ account: 1, about: "log of 3", says: name, path: "/api/v1/projects/3/files", body: new Blob(["jpeg"], { type: "image/jpeg" }), key });
  await putAll(1, [picture("one", "k1"), picture("two", "k2"), { ...entry("leak"), body: { text: "leak", files: [{ given_to: "k1" }, { given_to: "k2" }] } }]);
  await deliver(1);
  answers = [refused, created(42)];
  await deliver(1);
  asked = [];
  await deliver(1);
  expect(asked).toEqual([]); // waits for the person to say what is to become of the picture
  await throwAway("k1");
  answers = [created(50)];
  await deliver(1);
  expect(asked).toEqual([{ path: "/api/v1/projects/3/log", media: "application/json", body: { text: "leak", files: [42] } }]);
});

test("what is put in twice under one key is there once", async () => {
  await putAll(1, [{ ...entry("once"), key: "same" }]);
  expect(await putAll(1, [{ ...entry("once"), key: "same" }])).toBe(true);
  expect((await readAll(1)).map((p) => p.says)).toEqual(["once"]);
});

test("what was refused says why, lets the others pass, and is sent again only when asked", async () => {
  await put(entry("refused"));
  await put(entry("fine"));
  await deliver(1);
  answers = [refused, created(9)];
  expect(await deliver(1)).toBeNull();
  const [left, ...more] = await readAll(1);
  expect(more).toEqual([]);
  expect(left?.refused).toBe("The log is closed.");
  asked = [];
  await deliver(1);
  expect(asked).toEqual([]);
  answers = [created(10)];
  if (left) {
    await tryAgain(left);
  }
  expect(await readAll(1)).toEqual([]);
});

test("a failing server is no refusal", async () => {
  await put(entry("kept"));
  await deliver(1);
  answers = [() => new Response("", { status: 500 })];
  expect((await deliver(1))?.kind).toBe("broken");
  expect((await readAll(1)).map((p) => p.refused)).toEqual([null]);
});

test("nobody sends what another account wrote", async () => {
  await put(entry("hers", 2));
  await deliver(2);
  asked = [];
  answers = [created(1)];
  await deliver(1);
  expect(asked).toEqual([]);
  expect((await readAll(2)).length).toBe(1);
});

// What belongs to something that was begun without signal (common practice, no
// source): it goes to that and to nothing else, or it says why it can't.
const point = { account: 1, about: "run 2 of 3", says: "Point", path: "/runs/2/points", body: { name: "Shut" }, key: "p1", finding: { list: "points", name: "Shut" } };
const reading = { account: 1, about: "run 2 of 3", says: "Reading", path: "/runs/2/points/{p1}/readings", body: { values: [1] }, key: "r1" };

test("a path refers to the number that an earlier parcel got, found by its name in the answer", async () => {
  await putAll(1, [point, reading]);
  await deliver(1);
  asked = [];
  answers = [() => new Response(JSON.stringify({ number: 2, points: [{ number: 4, name: "As drawn" }, { number: 5, name: "Shut" }] }), { status: 201 }), created(9)];
  expect(await deliver(1)).toBeNull();
  expect(asked.map((a) => a.path)).toEqual(["/runs/2/points", "/runs/2/points/5/readings"]);
  expect(await readAll(1)).toEqual([]);
});

test("what belongs to a refused parcel waits, and says so once that one is thrown away", async () => {
  await putAll(1, [point, reading]);
  await deliver(1);
  answers = [refused];
  await deliver(1);
  asked = [];
  await deliver(1);
  expect(asked).toEqual([]);
  await throwAway("p1");
  await deliver(1);
  expect(asked).toEqual([]);
  expect((await readAll(1)).map((p) => p.refused)).toEqual([expect.stringContaining("thrown away")]);
});

// @vitest-environment node
import { describe, expect, it } from "vitest";
import type { Answer } from "../api/client";
import { offline, troubleFrom } from "../api/problem";
import { arrivedOf, missingOf, sendFile, type Net, type SeriesFile } from "./send";
import type { Upload } from "./store";

const text = "0123456789abcdefghijk"; // 21 bytes: five parts of four, and one byte
const upload: Upload = { key: "key-000001", account: 1, at: { project: 1, build: 2, run: 3 }, name: "a.csv", body: new Blob([text]), sha256: null, begun: "", refused: null };

const ok = (data: SeriesFile): Answer<SeriesFile> => ({ ok: true, data, etag: null, status: 200 });
const no = (code: string, status = 409): Answer<SeriesFile> => ({ ok: false, trouble: troubleFrom(status, { code, title: code }) });
const cut: Answer<SeriesFile> = { ok: false, trouble: offline };

/** notebook keeps parts as the server does, by the contract in openapi.yaml; fails says which calls never come back. */
function notebook(fails: (call: string) => Answer<SeriesFile> | null = () => null) {
  const parts = new Map<number, string>();
  const calls: string[] = [];
  let read = false;
  const file = (): SeriesFile => ({
    ...{ id: 7, name: "a.csv", size: text.length, sha256: null, part_bytes: 4, part_count: 6, have: [...parts.keys()].sort((a, b) => a - b) },
    ...{ added_by: { id: 1, name: "A" }, added_at: "", complete_at: read ? "now" : null, read: null },
  });
  const call = async (name: string, act: () => void | Promise<void>, late = false): Promise<Answer<SeriesFile>> => {
    calls.push(name);
    const fault = fails(name);
    if (fault && !late) {
      return fault;
    }
    await act();
    return fault ?? ok(file());
  };
  const net: Net = {
    announce: () => call("announce", () => undefined),
    part: (_, id, n, bytes) => call(`part ${n} of ${id}`, async () => void parts.set(n, await bytes.text())),
    done: () => call("done", () => void (read = true)),
  };
  return { net, parts, calls, whole: () => [...parts].sort(([a], [b]) => a - b).map(([, t]) => t).join("") };
}

describe("a file on its way", () => {
  it("arrives letter for letter, in parts", async () => {
    const n = notebook();
    const heard: number[] = [];
    const end = await sendFile(upload, n.net, (f) => heard.push(arrivedOf(f)));
    expect(end.end).toBe("there");
    expect(n.whole()).toBe(text);
    expect(heard).toEqual([0, 4, 8, 12, 16, 20, 21]);
  });

  it("goes on where the line was cut, and sends no part twice", async () => {
    let broken = true;
    const n = notebook((c) => (broken && c.startsWith("part 4") ? cut : null));
    expect((await sendFile(upload, n.net, () => undefined)).end).toBe("cut");
    broken = false;
    expect((await sendFile(upload, n.net, () => undefined)).end).toBe("there");
    expect(n.whole()).toBe(text);
    const sent = n.calls.filter((c) => c.startsWith("part"));
    expect(sent).toEqual([1, 2, 3, 4, 4, 5, 6].map((p) => `part ${p} of 7`)); // the fourth never arrived the first time
  });

  it("waits where the notebook has no time or the person is signed out, and gives up where it is refused", async () => {
    for (const [answer, end] of [
      [no("too-many-tries", 429), "cut"],
      [no("sign-in-required", 401), "cut"],
      [no("boom", 500), "cut"],
      [no("run-full"), "refused"],
      [no("run-submitted"), "refused"],
      [no("nowhere", 404), "refused"],
    ] as const) {
      expect((await sendFile(upload, notebook((c) => (c === "announce" ? answer : null)).net, () => undefined)).end).toBe(end);
    }
  });

  it("is with the notebook once all parts are, also where it asks for units", async () => {
    expect((await sendFile(upload, notebook((c) => (c === "done" ? no("file-unreadable", 422) : null)).net, () => undefined)).end).toBe("there");
  });

  it("is sent anew where something was changed on its way, but not for ever", async () => {
    const n = notebook((c) => (c === "done" ? no("file-differs") : null));
    expect((await sendFile(upload, n.net, () => undefined)).end).toBe("refused");
    expect(n.calls.filter((c) => c === "announce").length).toBe(3);
  });

  it("counts what is missing and what arrived, the short last part too", () => {
    const f = { have: [2, 6], part_count: 6, part_bytes: 4, size: 21 };
    expect(missingOf(f)).toEqual([1, 3, 4, 5]);
    expect(arrivedOf(f)).toBe(5); // 4 + 1, by hand
  });
});

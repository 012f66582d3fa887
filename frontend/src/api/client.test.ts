import { beforeEach, describe, expect, it, vi } from "vitest";
import type { Member } from "./session";

type Client = typeof import("./client");
type SessionModule = typeof import("./session");

interface Call {
  path: string;
  method: string;
  auth: string | null;
  body: string;
}

const petra: Member = {
  id: 3,
  name: "Petra Lindahl",
  address: "petra@thornwick.example",
  roles: ["member"],
  units: "metric",
  own_units: null,
  time_zone: "UTC",
  signing_code_set: false,
};

function json(status: number, body: unknown, headers: Record<string, string> = {}): Response {
  return new Response(JSON.stringify(body), { status, headers: { "Content-Type": "application/json", ...headers } });
}
const answer = (token: string, expires_in_s = 600) => ({ access_token: token, expires_in_s, member: petra });
const refused = () => json(401, { title: "Not signed in", code: "token-expired", fields: [] });

/** setup gives a fresh client and session, a server made of one function, and the calls it saw. */
async function setup(server: (c: Call) => Response | Promise<Response>) {
  vi.resetModules();
  const calls: Call[] = [];
  vi.stubGlobal("fetch", async (input: Request | string, init?: RequestInit) => {
    const r = typeof input === "string" ? new Request(new URL(input, location.origin), { method: init?.method ?? "GET" }) : input;
    const call = { path: new URL(r.url).pathname, method: r.method, auth: r.headers.get("Authorization"), body: await r.clone().text() };
    calls.push(call);
    return server(call);
  });
  const client: Client = await import("./client");
  const session: SessionModule = await import("./session");
  const project = () => client.ask(client.api.GET("/api/v1/projects/{project}", { params: { path: { project: 1 } } }));
  const start = () =>
    client.ask(client.api.POST("/api/v1/projects", { body: { title: "Pond", purpose: "", client_key: "abcdefgh" } }));
  return { client, session, calls, project, start };
}

beforeEach(() => {
  // jsdom's Request needs whole addresses and Node's fetch is never called.
  vi.unstubAllGlobals();
});

describe("a request of a member", () => {
  it("carries the token and gives data with its version", async () => {
    const t = await setup(() => json(200, { id: 1 }, { ETag: '"7"' }));
    t.session.signedIn(answer("one"));
    const a = await t.project();
    expect(a).toMatchObject({ ok: true, etag: '"7"', status: 200 });
    expect(t.calls.map((c) => c.auth)).toEqual(["Bearer one"]);
  });

  it("gets a new token when the old one is refused, and sends the same body again", async () => {
    const t = await setup((c) => {
      if (c.path.endsWith("/refresh")) return json(200, answer("two"));
      return c.auth === "Bearer two" ? json(201, { id: 9 }, { ETag: '"1"' }) : refused();
    });
    t.session.signedIn(answer("one"));
    const a = await t.start();
    expect(a.ok).toBe(true);
    const sent = t.calls.filter((c) => c.path === "/api/v1/projects");
    expect(sent).toHaveLength(2);
    expect(sent[1]?.body).toBe(sent[0]?.body);
    expect(sent[1]?.body).toContain("abcdefgh");
  });

  it("gets a new token before the old one runs out", async () => {
    const t = await setup((c) => (c.path.endsWith("/refresh") ? json(200, answer("two")) : json(200, {})));
    t.session.signedIn(answer("one", 5));
    await t.project();
    expect(t.calls.map((c) => c.auth)).toEqual([null, "Bearer two"]);
  });

  it("refreshes once for many requests at once, since a cookie works once", async () => {
    let cookies = 0;
    const t = await setup((c) => {
      if (c.path.endsWith("/refresh")) return ++cookies === 1 ? json(200, answer("two")) : refused();
      return c.auth === "Bearer two" ? json(200, {}) : refused();
    });
    t.session.signedIn(answer("one"));
    const all = await Promise.all([t.project(), t.project(), t.project(), t.project()]);
    expect(all.map((a) => a.ok)).toEqual([true, true, true, true]);
    expect(cookies).toBe(1);
  });

  it("takes the refresh under a Web Lock where there is one", async () => {
    const locks = vi.fn((_name: string, work: () => Promise<void>) => work());
    vi.stubGlobal("navigator", { locks: { request: locks }, onLine: true });
    const t = await setup((c) => (c.path.endsWith("/refresh") ? json(200, answer("two")) : json(200, {})));
    t.session.signedIn(answer("one", 5));
    await t.project();
    expect(locks).toHaveBeenCalledWith("leat-refresh", expect.any(Function));
  });

  it("waits for the person when the session is over, and goes on after sign-in", async () => {
    const t = await setup((c) => (c.auth === "Bearer three" ? json(200, { id: 1 }) : refused()));
    t.session.signedIn(answer("one"));
    const pending = t.project();
    await vi.waitFor(() => expect(t.session.asking()).toBe(true));
    expect(t.session.currentSession()).toMatchObject({ state: "ended", member: petra });
    t.session.signedIn(answer("three"));
    expect(await pending).toMatchObject({ ok: true });
  });

  it("says signed out when the person does not want to, and keeps who it was", async () => {
    const t = await setup(refused);
    t.session.signedIn(answer("one"));
    const pending = t.project();
    await vi.waitFor(() => expect(t.session.asking()).toBe(true));
    t.session.notNow();
    expect(await pending).toMatchObject({ ok: false, trouble: { kind: "expired" } });
    expect(t.session.currentSession()).toMatchObject({ state: "ended", member: petra });
  });
});

describe("without a usable answer", () => {
  it.each([
    ["no route", () => Promise.reject(new TypeError("Failed to fetch"))],
    ["no answer in time", () => Promise.reject(new DOMException("late", "TimeoutError"))],
    ["an answer cut off half way", () => Promise.resolve(new Response('{"id": 1, "tit', { status: 200 }))],
    ["a page of a guest network", () => Promise.resolve(new Response("<html>Pay here</html>", { status: 200 }))],
  ])("%s is no connection, never data", async (_name, server) => {
    const t = await setup(server);
    t.session.signedIn(answer("one"));
    expect(await t.project()).toMatchObject({ ok: false, trouble: { kind: "offline" } });
  });

  it("does not sign anyone out because the signal went while refreshing", async () => {
    const t = await setup((c) => (c.path.endsWith("/refresh") ? Promise.reject(new TypeError("Failed to fetch")) : refused()));
    t.session.signedIn(answer("one", 5));
    expect(await t.project()).toMatchObject({ ok: false, trouble: { kind: "offline" } });
    expect(t.session.currentSession().state).toBe("in");
  });

  it("does not sign anyone out because the server had a bad moment", async () => {
    const t = await setup((c) => (c.path.endsWith("/refresh") ? json(503, {}) : refused()));
    t.session.signedIn(answer("one", 5));
    expect(await t.project()).toMatchObject({ ok: false, trouble: { kind: "busy" } });
    expect(t.session.currentSession().state).toBe("in");
  });
});

describe("resume", () => {
  it("takes up the session of the cookie", async () => {
    const t = await setup(() => json(200, answer("one")));
    await t.session.resume();
    expect(t.session.currentSession()).toMatchObject({ state: "in", member: petra });
  });
  it("shows sign-in when there is none", async () => {
    const t = await setup(refused);
    await t.session.resume();
    expect(t.session.currentSession().state).toBe("out");
  });
});

describe("newKey", () => {
  it("makes keys of the contract's alphabet that differ", async () => {
    const t = await setup(refused);
    const keys = Array.from({ length: 100 }, () => t.client.newKey());
    expect(new Set(keys).size).toBe(100);
    expect(keys.every((k) => /^[!-~]{8,80}$/.test(k))).toBe(true);
  });
});

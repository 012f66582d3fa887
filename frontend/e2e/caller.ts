import { expect } from "@playwright/test";

/** Caller asks the notebook as a demo member, to prepare what a walk begins with and to see what it left. */
export interface Caller {
  password: string;
  get: <T>(path: string) => Promise<T>;
  post: (path: string, body: unknown, etag?: string) => Promise<{ id: number; etag: string }>;
  /** What is answered to something that is sent. */
  ask: <T>(path: string, body: unknown) => Promise<T>;
  put: (path: string, body: unknown) => Promise<void>;
}

/** Setup is what the entrance asks for. */
export interface Setup {
  demo: { people: { name: string; address: string; password: string }[] };
}

/** credentials are what a demo member signs in with. */
export function credentials({ demo }: Setup, name: string): { address: string; password: string } {
  const person = demo.people.find((p) => p.name === name);
  if (!person) {
    throw new Error(`No ${name} in the demo`);
  }
  return { address: person.address, password: person.password };
}

/** demoMember signs a demo member in beside the pages: it touches no cookie of theirs. */
export async function demoMember(url: string | undefined, name: string): Promise<Caller> {
  const base = new URL(url ?? "");
  const known = credentials((await (await fetch(new URL("/api/v1/setup", base))).json()) as Setup, name);
  const session = await fetch(new URL("/api/v1/session", base), {
    method: "POST",
    headers: { "Content-Type": "application/json", Origin: base.origin },
    body: JSON.stringify(known),
  });
  const { access_token: token } = (await session.json()) as { access_token: string };
  const call = async (path: string, init: RequestInit) => {
    const a = await fetch(new URL(`/api/v1${path}`, base), init);
    const text = await a.text();
    expect(a.ok, `${init.method ?? "GET"} ${path}: ${text}`).toBe(true);
    return { data: JSON.parse(text || "null") as unknown, etag: a.headers.get("ETag") ?? "" };
  };
  const headers = { Authorization: `Bearer ${token}` };
  return {
    password: known.password,
    get: async <T>(path: string) => (await call(path, { headers })).data as T,
    post: async (path, body, etag = "") => {
      const { data, etag: version } = await call(path, {
        method: "POST",
        headers: { ...headers, "Content-Type": "application/json", ...(etag ? { "If-Match": etag } : {}) },
        body: JSON.stringify(body),
      });
      return { id: (data as { id: number }).id, etag: version };
    },
    ask: async <T>(path: string, body: unknown) =>
      (await call(path, { method: "POST", headers: { ...headers, "Content-Type": "application/json" }, body: JSON.stringify(body) })).data as T,
    put: async (path, body) => {
      await call(path, { method: "PUT", headers: { ...headers, "Content-Type": "application/json" }, body: JSON.stringify(body) });
    },
  };
}

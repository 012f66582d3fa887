import createClient from "openapi-fetch";
import type { components, paths } from "./schema";
import { expired, offline, troubleFrom, type Trouble } from "./problem";
import { freshToken, ServerTrouble, SessionEnded } from "./session";

/** A type of the contract, by its name in openapi.yaml. */
export type Schema<Name extends keyof components["schemas"]> = components["schemas"][Name];

/** What came of a request: the data and its version, or the trouble in words for people. */
export type Answer<T> = { ok: true; data: T; etag: string | null; status: number } | { ok: false; trouble: Trouble };

/** How long a request may wait for an answer on a weak connection. */
const patience_ms = 30_000;
/** A file takes longer on its way there. */
const filePatience_ms = 300_000;

/** api calls as the signed-in member: it refreshes the token, and asks the person to sign in again, by itself. */
export const api = createClient<paths>({ baseUrl: location.origin, fetch: (request) => asMember(request, isBytes(request) ? filePatience_ms : patience_ms) });

/** open calls what anyone may call: set-up and sign-in. */
export const open = createClient<paths>({ baseUrl: location.origin, fetch: (request) => patiently(request) });

const isBytes = (request: Request) => request.headers.get("Content-Type") === "application/octet-stream";

function asMember(request: Request, wait_ms: number): Promise<Response> {
  return withFreshToken((token) => patiently(withToken(request.clone(), token), wait_ms));
}

/** withFreshToken sends with a token that should be accepted, and once more with a new one where it was not. */
export async function withFreshToken(send: (token: string) => Promise<Response>): Promise<Response> {
  const token = await freshToken();
  const first = await send(token);
  return first.status === 401 ? send(await freshToken(token)) : first;
}

function withToken(request: Request, token: string): Request {
  request.headers.set("Authorization", `Bearer ${token}`);
  return request;
}

function patiently(request: Request, wait_ms = patience_ms): Promise<Response> {
  return globalThis.fetch(request, { signal: AbortSignal.any([request.signal, AbortSignal.timeout(wait_ms)]) });
}

interface Reply<T> {
  data?: T;
  error?: unknown;
  response: Response;
}

/** ask waits for a call of api or open and never throws: every failure is a Trouble with a next step. */
export async function ask<T>(call: Promise<Reply<T>>): Promise<Answer<T>> {
  try {
    const { data, error, response } = await call;
    if (response.ok) {
      return { ok: true, data: data as T, etag: response.headers.get("ETag"), status: response.status };
    }
    return { ok: false, trouble: troubleFrom(response.status, error) };
  } catch (e) {
    return { ok: false, trouble: troubleOf(e) };
  }
}

/** askIfChanged waits as ask does, for a call that names what it has: "same" where that stands. */
export async function askIfChanged<T>(call: Promise<Reply<T>>): Promise<Answer<T> | "same"> {
  const seen = { status: 0 };
  const answer = await ask(
    call.then((r) => {
      seen.status = r.response.status;
      return r;
    }),
  );
  return seen.status === 304 ? "same" : answer;
}

/** troubleOf says why no answer came. */
export function troubleOf(e: unknown): Trouble {
  if (e instanceof SessionEnded) {
    return expired;
  }
  if (e instanceof ServerTrouble) {
    return troubleFrom(e.status, null);
  }
  // No route, no answer in time, or an answer cut off half way: all the same to the person.
  return offline;
}

/** What came of sending something that was written earlier: the id that the notebook gave it, where it has one. */
export type Sent = { ok: true; id: number | null } | { ok: false; trouble: Trouble };

/** Where the number of what was made stands in an answer that shows the whole it was added to: the last of a list with that name. */
export interface Finding {
  list: string;
  name: string;
}

/** sendAsMember posts what was written earlier, a file as it is or an object, to a path that was known then. */
export async function sendAsMember(path: string, body: Blob | Record<string, unknown>, finding?: Finding): Promise<Sent> {
  const file = body instanceof Blob;
  const request = new Request(location.origin + path, {
    method: "POST",
    body: file ? body : JSON.stringify(body),
    headers: { "Content-Type": file ? body.type || "application/octet-stream" : "application/json" },
  });
  try {
    const response = await asMember(request, file ? filePatience_ms : patience_ms);
    const answer: unknown = await response.json().catch(() => null);
    if (!response.ok) {
      return { ok: false, trouble: troubleFrom(response.status, answer) };
    }
    return { ok: true, id: finding ? numberIn(answer, finding) : numberOf(answer, "id") };
  } catch (e) {
    return { ok: false, trouble: troubleOf(e) };
  }
}

function numberOf(answer: unknown, name: string): number | null {
  const v = typeof answer === "object" && answer !== null && name in answer ? (answer as Record<string, unknown>)[name] : null;
  return typeof v === "number" ? v : null;
}

function numberIn(answer: unknown, { list, name }: Finding): number | null {
  const all = typeof answer === "object" && answer !== null && list in answer ? (answer as Record<string, unknown>)[list] : null;
  const named = (x: unknown) => typeof x === "object" && x !== null && "name" in x && x.name === name;
  const listed: unknown[] = Array.isArray(all) ? all : [];
  return numberOf(listed.filter(named).at(-1), "number");
}

/** newKey makes the key that lets a request be sent again without doing its work twice. */
export function newKey(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
}

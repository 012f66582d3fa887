import { useEffect, useState } from "preact/hooks";

/** Who is signed in, as the server names them. */
export interface Member {
  id: number;
  name: string;
  address: string;
  roles: string[];
  /** The system of units in force: the member's own, else the group's. */
  units: Units;
  own_units: Units | null;
  /** Of the group, by its IANA name. */
  time_zone: string;
  /** Items of a test can be signed with a code. */
  signing_code_set: boolean;
}

/** A system of units. */
export type Units = "metric" | "us" | "si";

/**
 * The state of sign-in on this page. The access token lives here, in memory,
 * and nowhere else; the refresh token is a cookie that scripts can't read.
 * "ended" means: was signed in, the server no longer agrees, the page stays.
 */
export type Session =
  | { state: "starting" }
  | { state: "out" }
  | { state: "in"; member: Member; token: string; ends: number }
  | { state: "ended"; member: Member };

/** SessionEnded is thrown when the person does not want to sign in again now. */
export class SessionEnded extends Error {}

/** ServerTrouble is thrown when sign-in could not even be asked about. */
export class ServerTrouble extends Error {
  constructor(readonly status: number) {
    super(`the server answered ${status}`);
  }
}

let session: Session = { state: "starting" };
const watchers = new Set<() => void>();
let waiting: { resolve: (token: string) => void; reject: (e: Error) => void }[] = [];
const tabs = typeof BroadcastChannel === "undefined" ? null : new BroadcastChannel("leat-session");
if (tabs) {
  tabs.onmessage = () => setSession({ state: "out" });
}

/** The session as it stands now. */
export function currentSession(): Session {
  return session;
}

/** useSession gives the session and draws again when it changes. */
export function useSession(): Session {
  const [, redraw] = useState(0);
  useEffect(() => {
    const watcher = () => redraw((n) => n + 1);
    watchers.add(watcher);
    return () => void watchers.delete(watcher);
  }, []);
  return session;
}

function setSession(next: Session): void {
  session = next;
  for (const watcher of watchers) {
    watcher();
  }
}

/** signedIn takes the server's session answer and lets waiting requests go on. */
export function signedIn(answer: SessionAnswer): void {
  if ("member" in session && session.member.id !== answer.member.id) {
    location.assign("/"); // someone else signed in in another tab: nothing of the former page may stay
    return;
  }
  const ends = Date.now() + answer.expires_in_s * 1000;
  setSession({ state: "in", member: answer.member, token: answer.access_token, ends });
  const go = waiting;
  waiting = [];
  go.forEach((w) => w.resolve(answer.access_token));
}

/** memberChanged takes what the server now says about the member. */
export function memberChanged(member: Member): void {
  if ("member" in session && session.member.id === member.id) {
    setSession({ ...session, member });
  }
}

/** notNow closes the sign-in dialog: waiting requests fail, the page and its text stay. */
export function notNow(): void {
  const stop = waiting;
  waiting = [];
  stop.forEach((w) => w.reject(new SessionEnded()));
  setSession({ ...session });
}

/** asking says whether some request waits for the person to sign in again. */
export function asking(): boolean {
  return waiting.length > 0;
}

/** signOut ends the session here, in every tab, and on the server. */
export async function signOut(): Promise<void> {
  const held = session;
  setSession({ state: "out" });
  tabs?.postMessage("out");
  if (held.state === "in") {
    // Goes on when the page is left at once.
    await fetch("/api/v1/session", { method: "DELETE", keepalive: true, headers: { Authorization: `Bearer ${held.token}` } });
  }
}

/**
 * freshToken answers an access token that should be accepted, asking the
 * server for a new one when this one is old or was just refused.
 */
export async function freshToken(refused?: string): Promise<string> {
  if (session.state === "in" && session.token !== refused && Date.now() < session.ends - 15_000) {
    return session.token;
  }
  if (session.state === "in") {
    await refresh(session.token);
  }
  const now = currentSession();
  if (now.state === "in") {
    return now.token;
  }
  return new Promise((resolve, reject) => {
    waiting.push({ resolve, reject });
    setSession({ ...session });
  });
}

/** resume takes up the session that this browser may still hold, once, at start. */
export async function resume(): Promise<void> {
  await refresh();
  if (session.state === "starting") {
    setSession({ state: "out" });
  }
}

/**
 * refresh trades the cookie for a new token, one tab at a time: the cookie
 * changes with each use and using an old one would end the session.
 */
function refresh(old?: string): Promise<void> {
  return alone(async () => {
    if (session.state === "in" && session.token !== old) {
      return; // another request of this page was quicker
    }
    const res = await fetch("/api/v1/session/refresh", { method: "POST", signal: AbortSignal.timeout(20_000) });
    if (res.ok) {
      signedIn(readSession(await res.json()));
      return;
    }
    if (res.status !== 401 && res.status !== 403) {
      throw new ServerTrouble(res.status);
    }
    if (session.state === "in") {
      setSession({ state: "ended", member: session.member });
    }
  });
}

let queue: Promise<unknown> = Promise.resolve();

async function alone(work: () => Promise<void>): Promise<void> {
  // Web Locks need https or localhost; without them this page still takes turns with itself.
  const locks = (navigator as Partial<Navigator>).locks;
  if (locks) {
    await locks.request("leat-refresh", work);
    return;
  }
  const turn = queue.then(work, work);
  queue = turn.catch(() => undefined);
  await turn;
}

/** What the server answers to sign-in and refresh. */
export interface SessionAnswer {
  access_token: string;
  expires_in_s: number;
  member: Member;
}

/** readSession checks a session answer; what is not one counts as no answer. */
export function readSession(body: unknown): SessionAnswer {
  if (typeof body === "object" && body !== null && "access_token" in body && "expires_in_s" in body && "member" in body) {
    const { access_token, expires_in_s, member } = body;
    if (typeof access_token === "string" && typeof expires_in_s === "number" && isMember(member)) {
      return { access_token, expires_in_s, member };
    }
  }
  throw new TypeError("not a session answer");
}

function isMember(v: unknown): v is Member {
  return typeof v === "object" && v !== null && "id" in v && "name" in v && typeof v.name === "string" && "roles" in v;
}

import { useEffect, useState } from "preact/hooks";
import { newKey, sendAsMember } from "../api/client";
import type { Trouble } from "../api/problem";
import { addAll, givenTo, readAll, refuse, remove, type Parcel } from "./store";

export type { Parcel } from "./store";

/** How long to wait before trying again while the notebook can't be reached. */
const again_ms = 15_000;

const watchers = new Set<() => void>();
const tell = () => watchers.forEach((w) => w());

/** A message to the other pages of this browser that something was put in or taken out. */
const channel = typeof BroadcastChannel === "undefined" ? null : new BroadcastChannel("leat-outbox");
channel?.addEventListener("message", tell);
function changed(): void {
  tell();
  channel?.postMessage("changed");
}

/** What is put in: the rest is the outbox's own. */
export type Putting = Omit<Parcel, "key" | "at" | "refused"> & { key?: string };

/** put writes a parcel down in this browser, and begins to send. It answers its key; null when this browser keeps nothing. */
export async function put(parcel: Putting): Promise<string | null> {
  const key = parcel.key ?? newKey();
  return (await putAll(parcel.account, [{ ...parcel, key }])) ? key : null;
}

/** putAll writes down what belongs together, all or none, in the order in which it is to be sent, and begins to send. */
export async function putAll(account: number, parcels: Putting[]): Promise<boolean> {
  const at = new Date().toISOString();
  if (!(await addAll(parcels.map((p) => ({ ...p, key: p.key ?? newKey(), at, refused: null }))))) {
    return false;
  }
  changed();
  void deliver(account);
  return true;
}

/** throwAway takes a parcel out for good, because the person said so. */
export async function throwAway(key: string): Promise<void> {
  await remove(key, null);
  changed();
}

/** tryAgain sends a refused parcel once more. */
export async function tryAgain(parcel: Parcel): Promise<void> {
  await refuse(parcel.key, null);
  changed();
  await deliver(parcel.account);
}

/**
 * deliver sends what waits, in the order in which it was written, one page of
 * this browser at a time. It answers what stopped it; null when nothing did.
 */
export function deliver(account: number): Promise<Trouble | null> {
  const go = () => deliverAll(account);
  // Old browsers have no locks between pages; the page itself at least goes one by one.
  last = last.then(async () => await ("locks" in navigator ? navigator.locks.request("leat-outbox", go) : go()));
  return last;
}

let last: Promise<Trouble | null> = Promise.resolve(null);

async function deliverAll(account: number): Promise<Trouble | null> {
  const all = await readAll(account);
  const kept = (key: string) => all.some((p) => p.key === key);
  for (const parcel of all) {
    const body = parcel.refused === null ? await filled(parcel.body, kept) : null;
    const path = body === null ? null : await filledPath(parcel.path, kept);
    if (path === gone) {
      await refuse(parcel.key, "What it belongs to was thrown away here. Throw this away as well, or type it once more where it belongs.");
      changed();
      continue;
    }
    if (body === null || path === null) {
      continue; // refused, or it refers to one that was
    }
    const answer = await sendAsMember(path, body, parcel.finding);
    if (answer.ok) {
      await remove(parcel.key, answer.id);
    } else if (waits(answer.trouble)) {
      return answer.trouble;
    } else {
      await refuse(parcel.key, answer.trouble.detail || answer.trouble.title);
    }
    changed();
  }
  return null;
}

/** waits tells whether a trouble is one that sending later may mend. */
function waits(t: Trouble): boolean {
  return t.kind === "offline" || t.kind === "expired" || t.kind === "busy" || t.kind === "broken";
}

/** A reference to a parcel that was thrown away: it drops out of its list. */
const gone = Symbol("gone");

/** filled puts the ids of sent parcels where a body refers to them; null when one was not sent. */
async function filled(body: Parcel["body"], kept: (key: string) => boolean): Promise<Blob | Record<string, unknown> | null> {
  if (body instanceof Blob) {
    return body;
  }
  const missing = new Set<string>();
  const walk = async (v: unknown): Promise<unknown> => {
    if (Array.isArray(v)) {
      return (await Promise.all(v.map(walk))).filter((x) => x !== gone);
    }
    if (typeof v !== "object" || v === null) {
      return v;
    }
    const refers = "given_to" in v ? v.given_to : undefined;
    if (typeof refers === "string") {
      const id = await givenTo(refers);
      if (id === null && kept(refers)) {
        missing.add(refers);
      }
      return id ?? gone;
    }
    return Object.fromEntries(await Promise.all(Object.entries(v).map(async ([k, x]) => [k, await walk(x)] as const)));
  };
  const whole = await walk(body);
  return missing.size > 0 ? null : (whole as Record<string, unknown>);
}

/** filledPath puts the number of a sent parcel where a path refers to it; null when that one was not sent. */
async function filledPath(path: string, kept: (key: string) => boolean): Promise<string | typeof gone | null> {
  const refers = /\{(\w+)\}/.exec(path)?.[1];
  if (refers === undefined) {
    return path;
  }
  const id = await givenTo(refers);
  return id !== null ? path.replace(`{${refers}}`, String(id)) : kept(refers) ? null : gone;
}

/** useOutbox gives the parcels of an account about one thing, or all of them, as they come and go; sent says how many went while the page was shown. */
export function useOutbox(account: number, about?: string): { parcels: Parcel[]; sent: number } {
  const [parcels, setParcels] = useState<Parcel[]>([]);
  const [sent, setSent] = useState(0);
  useEffect(() => {
    let before: Parcel[] = [];
    let gone = false;
    const look = () =>
      void readAll(account).then((all) => {
        if (gone) {
          return;
        }
        const mine = about === undefined ? all : all.filter((p) => p.about === about);
        const left = before.filter((b) => !mine.some((m) => m.key === b.key)).length;
        before = mine;
        setParcels(mine);
        setSent((n) => n + left);
      });
    watchers.add(look);
    look();
    return () => {
      gone = true;
      watchers.delete(look);
    };
  }, [account, about]);
  return { parcels, sent };
}

/** useDelivery sends what waits when a member is signed in: at once, when there is signal again, and now and then. */
export function useDelivery(account: number | null): void {
  useEffect(() => {
    if (account === null) {
      return;
    }
    const go = () => void deliver(account);
    go();
    const now_and_then = setInterval(() => void readAll(account).then((all) => (all.some((p) => p.refused === null) ? deliver(account) : null)), again_ms);
    window.addEventListener("online", go);
    return () => {
      clearInterval(now_and_then);
      window.removeEventListener("online", go);
    };
  }, [account]);
}

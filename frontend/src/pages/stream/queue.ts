import { api, ask, newKey, type Schema } from "../../api/client";
import type { Trouble } from "../../api/problem";

/** A gauging that the server does not have yet. It goes to the project of this number once there is signal. */
export interface Unsent {
  project: number;
  title: string;
  body: Schema<"RecordGauging">;
  /** Why the server refused it; null while it was only not reached. */
  refused: string | null;
}

/** A project that a gauging can be kept for, as it was known when there was signal last. */
export interface Place {
  id: number;
  title: string;
}

const unsentPlace = (account: number) => `leat:unsent:${account}`;
const placesPlace = "leat:places";

/** Whose places and gaugings this device knows: the one who was signed in last. */
export interface Places {
  account: number;
  /** The system of units in force for that member. */
  units: string;
  places: Place[];
}

function read<T>(place: string, is: (v: unknown) => v is T, none: T): T {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(place) ?? "null");
    return is(kept) ? kept : none;
  } catch {
    return none;
  }
}

function write(place: string, value: unknown): boolean {
  try {
    localStorage.setItem(place, JSON.stringify(value));
    return true;
  } catch {
    return false;
  }
}

const isObject = (v: unknown): v is Record<string, unknown> => typeof v === "object" && v !== null;
const isUnsent = (v: unknown): v is Unsent => isObject(v) && typeof v["project"] === "number" && typeof v["title"] === "string" && isObject(v["body"]);
const areUnsent = (v: unknown): v is Unsent[] => Array.isArray(v) && v.every(isUnsent);
const isPlaces = (v: unknown): v is Places =>
  isObject(v) && typeof v["account"] === "number" && typeof v["units"] === "string" && Array.isArray(v["places"]) && v["places"].every((p) => isObject(p) && typeof p["id"] === "number" && typeof p["title"] === "string");

export const readUnsent = (account: number): Unsent[] => read(unsentPlace(account), areUnsent, []);
export const readPlaces = (): Places | null => read<Places | null>(placesPlace, isPlaces, null);

/** keepPlaces remembers which projects this member may gauge for. */
export const keepPlaces = (known: Places): boolean => write(placesPlace, known);

/** put queues a gauging; false when this browser keeps nothing. */
export function put(account: number, place: Place, body: Omit<Schema<"RecordGauging">, "client_key">): boolean {
  return write(unsentPlace(account), [...readUnsent(account), { project: place.id, title: place.title, body: { ...body, client_key: newKey() }, refused: null }]);
}

/** drop takes one gauging out of the queue. */
export function drop(account: number, key: string): void {
  write(unsentPlace(account), readUnsent(account).filter((u) => u.body.client_key !== key));
}

/**
 * send gives all that waits to the server, one after the other. Each has a key
 * of its own, so that sending it again makes no second one. It answers what
 * stopped it; null when nothing did.
 */
export async function send(account: number): Promise<Trouble | null> {
  for (const u of readUnsent(account)) {
    const a = await ask(api.POST("/api/v1/projects/{project}/site/gaugings", { params: { path: { project: u.project } }, body: u.body }));
    if (a.ok) {
      drop(account, u.body.client_key);
    } else if (a.trouble.kind === "offline" || a.trouble.kind === "expired") {
      return a.trouble;
    } else {
      const words = a.trouble.detail || a.trouble.title;
      write(unsentPlace(account), readUnsent(account).map((x) => (x.body.client_key === u.body.client_key ? { ...x, refused: words } : x)));
    }
  }
  return null;
}

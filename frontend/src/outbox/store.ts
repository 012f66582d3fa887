import { openDB, type DBSchema, type IDBPDatabase } from "idb";
import type { Finding } from "../api/client";

/**
 * A parcel is something that was written here and that the notebook does not
 * have yet. It stays in this browser, under the account that wrote it, until the
 * notebook has it or the person throws it away.
 */
export interface Parcel {
  /** The client key of the request: sending again can't double it. */
  key: string;
  account: number;
  /** What it belongs to, such as "log of 3": the page of that shows it. */
  about: string;
  /** What it is, in a few words. */
  says: string;
  /** Where it goes: POST to this path; {key} in it stands for the number that an earlier parcel gets. */
  path: string;
  /** Where the answer says that number, for a parcel that others refer to and whose answer shows more than what was sent. */
  finding?: Finding;
  /** A picture or file as it is, or an object; {"given_to": key} in it stands for the id that an earlier parcel gets. */
  body: Blob | Record<string, unknown>;
  at: string;
  /** Why the notebook refused it; null while it was only not reached. */
  refused: string | null;
}

interface Kept extends DBSchema {
  parcels: { key: number; value: Parcel; indexes: { key: string } };
  /** The ids that sent parcels got, for those that refer to them. */
  given: { key: string; value: number };
}

let opened: Promise<IDBPDatabase<Kept>> | null = null;

function open(): Promise<IDBPDatabase<Kept>> {
  opened ??= openDB<Kept>("leat-outbox", 1, {
    upgrade(db) {
      db.createObjectStore("parcels", { autoIncrement: true }).createIndex("key", "key", { unique: true });
      db.createObjectStore("given");
    },
    terminated() {
      opened = null;
    },
  });
  return opened;
}

/** readAll returns the parcels of an account in the order in which they were written; none where this browser keeps nothing. */
export async function readAll(account: number): Promise<Parcel[]> {
  try {
    return (await (await open()).getAll("parcels")).filter((p) => p.account === account);
  } catch {
    return [];
  }
}

/** addAll keeps parcels, all or none; one that is kept already stays as it is. It tells false when this browser keeps nothing. */
export async function addAll(parcels: Parcel[]): Promise<boolean> {
  try {
    const tx = (await open()).transaction("parcels", "readwrite");
    for (const parcel of parcels) {
      if ((await tx.store.index("key").getKey(parcel.key)) === undefined) {
        await tx.store.add(parcel);
      }
    }
    await tx.done;
    return true;
  } catch {
    return false;
  }
}

/** refuse writes down why the notebook refused a parcel. */
export async function refuse(key: string, words: string | null): Promise<void> {
  const tx = (await open()).transaction("parcels", "readwrite");
  const cursor = await tx.store.index("key").openCursor(key);
  await cursor?.update({ ...cursor.value, refused: words });
  await tx.done;
}

/** remove takes a parcel out, and remembers the id that the notebook gave it. */
export async function remove(key: string, id: number | null): Promise<void> {
  const tx = (await open()).transaction(["parcels", "given"], "readwrite");
  const at = await tx.objectStore("parcels").index("key").getKey(key);
  if (at !== undefined) {
    await tx.objectStore("parcels").delete(at);
  }
  if (id !== null) {
    await tx.objectStore("given").put(id, key);
  }
  if ((await tx.objectStore("parcels").count()) === 0) {
    await tx.objectStore("given").clear();
  }
  await tx.done;
}

/** givenTo returns the id that a sent parcel got; null when it was not sent. */
export async function givenTo(key: string): Promise<number | null> {
  return (await (await open()).get("given", key)) ?? null;
}

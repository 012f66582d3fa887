import { openDB, type DBSchema, type IDBPDatabase } from "idb";
import type { RunAddress } from "../pages/run/fetch";

/** A file of a logger on its way to a run. It stays in this browser until the notebook has all of it. */
export interface Upload {
  /** The client key of its announcement: announcing it again can't double it. */
  key: string;
  account: number;
  at: RunAddress;
  name: string;
  body: Blob;
  /** SHA-256 in hexadecimal digits; null where this browser can't work one out. */
  sha256: string | null;
  begun: string;
  /** Why the notebook refused it; null while it was only not reached. */
  refused: string | null;
}

interface Kept extends DBSchema {
  uploads: { key: string; value: Upload };
}

let opened: Promise<IDBPDatabase<Kept>> | null = null;

function open(): Promise<IDBPDatabase<Kept>> {
  opened ??= openDB<Kept>("leat-uploads", 1, {
    upgrade(db) {
      db.createObjectStore("uploads", { keyPath: "key" });
    },
    terminated() {
      opened = null;
    },
  });
  return opened;
}

/** What this browser does not keep, or not any more, as long as the page is open. */
const held = new Map<string, Upload>();

/** isHeldOnly tells whether a file is lost when the page is left. */
export const isHeldOnly = (key: string) => held.has(key);

/** readAll returns the files of an account that are on their way, in the order in which they were chosen. */
export async function readAll(account: number): Promise<Upload[]> {
  const mine = (all: Upload[]) => all.filter((u) => u.account === account).sort((a, b) => a.begun.localeCompare(b.begun));
  try {
    return mine([...(await (await open()).getAll("uploads")), ...held.values()]);
  } catch {
    return mine([...held.values()]);
  }
}

/** keep writes a file down; where this browser keeps nothing the page holds it. */
export async function keep(u: Upload): Promise<void> {
  try {
    await (await open()).put("uploads", u);
  } catch {
    held.set(u.key, u);
  }
}

/** forget takes a file out: the notebook has it, or the person threw it away. */
export async function forget(key: string): Promise<void> {
  held.delete(key);
  try {
    await (await open()).delete("uploads", key);
  } catch {
    // A browser that keeps nothing has nothing to forget.
  }
}

/**
 * Pictures of an item that is not signed yet. Each is kept in this browser and
 * sent at once; without a connection it goes later, and a reload loses none. With
 * the signature of the item they go from here: the notebook has them. Start at
 * usePictures.
 */
import { openDB, type DBSchema, type IDBPDatabase } from "idb";
import { useEffect, useRef, useState } from "preact/hooks";
import { newKey, sendAsMember } from "../../api/client";
import { jpegName, smaller } from "../../picture";
import type { Taken } from "./values";

/** A picture on its way. */
export interface Picture extends Taken {
  /** The client key of its upload. */
  key: string;
  account: number;
  /** The item that it belongs to, among all test sheets. */
  item: string;
  name: string;
  body: Blob;
}

interface Kept extends DBSchema {
  pictures: { key: string; value: Picture };
}

let opened: Promise<IDBPDatabase<Kept>> | null = null;

function open(): Promise<IDBPDatabase<Kept>> {
  opened ??= openDB<Kept>("leat-test", 1, {
    upgrade(db) {
      db.createObjectStore("pictures", { keyPath: "key" });
    },
    terminated() {
      opened = null;
    },
  });
  return opened;
}

async function readKept(account: number, item: string): Promise<Picture[]> {
  try {
    return (await (await open()).getAll("pictures")).filter((p) => p.account === account && p.item === item);
  } catch {
    return [];
  }
}

async function keep(p: Picture): Promise<boolean> {
  try {
    await (await open()).put("pictures", p);
    return true;
  } catch {
    return false;
  }
}

async function forget(key: string): Promise<void> {
  try {
    await (await open()).delete("pictures", key);
  } catch {
    // A browser that keeps nothing has nothing to forget.
  }
}

/** What an item has of pictures, and what can be done with them. */
export interface Pictures {
  taken: Picture[];
  /** Why one can't be taken or sent, in words. */
  fault: string;
  add: (place: string, files: File[]) => void;
  remove: (key: string) => void;
  /** Waits for what is under way, and answers how the pictures stand then. */
  settled: () => Promise<Picture[]>;
  /** They are signed: the notebook has them. */
  clear: () => void;
}

/** usePictures holds the pictures of one item and sends them; connected tells it to try again. */
export function usePictures(account: number, project: number, item: string, connected: boolean): Pictures {
  const [taken, setTaken] = useState<Picture[]>([]);
  const [fault, setFault] = useState("");
  const newest = useRef<Picture[]>([]);
  const working = useRef(new Map<string, Promise<void>>()); // by the key of a picture
  const show = (list: Picture[]) => {
    newest.current = list;
    setTaken(list);
  };
  const send = (p: Picture) => {
    if (!working.current.has(p.key)) {
      working.current.set(p.key, sendNow(p).finally(() => working.current.delete(p.key)));
    }
  };
  const sendNow = async (p: Picture) => {
    const path = `/api/v1/projects/${project}/files?client_key=${p.key}&name=${encodeURIComponent(p.name)}`;
    const a = await sendAsMember(path, p.body);
    if (!a.ok) {
      setFault(a.trouble.kind === "offline" ? "" : `${a.trouble.title} ${a.trouble.detail}`.trim());
      return;
    }
    const sent = { ...p, id: a.id };
    if (newest.current.some((n) => n.key === p.key)) {
      await keep(sent);
      show(newest.current.map((n) => (n.key === p.key ? sent : n)));
    }
  };
  const take = async (key: string, place: string, file: File) => {
    const body = await smaller(file);
    if (body === null) {
      setFault(`“${file.name}” can’t be opened as a picture here. Let the phone save pictures as JPEG, or take it anew.`);
      return;
    }
    const p = { key, account, item, place, id: null, name: jpegName(file.name), body };
    if (!(await keep(p))) {
      setFault("This browser keeps nothing. Don’t close the page before the item is signed.");
    }
    show([...newest.current, p]);
    await sendNow(p);
  };
  useEffect(() => {
    void readKept(account, item).then((kept) => show([...kept, ...newest.current.filter((p) => p.item === item && !kept.some((k) => k.key === p.key))]));
  }, [account, item]);
  const unsent = taken.filter((p) => p.id === null).length;
  useEffect(() => {
    if (connected) {
      newest.current.filter((p) => p.id === null).forEach(send);
    }
  }, [connected, unsent]);
  return {
    taken,
    fault,
    add: (place, files) => {
      setFault("");
      for (const file of files) {
        const key = newKey();
        working.current.set(
          key,
          take(key, place, file).finally(() => working.current.delete(key)),
        );
      }
    },
    settled: async () => {
      await Promise.allSettled([...working.current.values()]);
      return newest.current;
    },
    remove: (key) => {
      void forget(key);
      show(newest.current.filter((p) => p.key !== key));
    },
    clear: () => {
      newest.current.forEach((p) => void forget(p.key));
      show([]);
    },
  };
}

/**
 * Pictures and files of an entry that is still being written. They are kept in
 * this browser beside the text, so that a reload loses none; with the entry they
 * go to the outbox. Start at useHeld.
 */
import { openDB, type DBSchema, type IDBPDatabase } from "idb";
import { useEffect, useRef, useState } from "preact/hooks";
import { newKey } from "../../api/client";
import { jpegName, smaller } from "../../picture";

/** The largest file that the notebook takes. */
const most_bytes = 15_000_000;
/** How many an entry takes. */
const most_files = 20;

export interface Held {
  /** The client key of its upload. */
  key: string;
  account: number;
  /** The form that it belongs to. */
  form: string;
  name: string;
  picture: boolean;
  body: Blob;
}

interface Kept extends DBSchema {
  held: { key: string; value: Held };
}

let opened: Promise<IDBPDatabase<Kept>> | null = null;

function open(): Promise<IDBPDatabase<Kept>> {
  opened ??= openDB<Kept>("leat-held", 1, {
    upgrade(db) {
      db.createObjectStore("held", { keyPath: "key" });
    },
    terminated() {
      opened = null;
    },
  });
  return opened;
}

async function readHeld(account: number, form: string): Promise<Held[]> {
  try {
    return (await (await open()).getAll("held")).filter((h) => h.account === account && h.form === form);
  } catch {
    return [];
  }
}

async function keep(h: Held): Promise<boolean> {
  try {
    await (await open()).put("held", h);
    return true;
  } catch {
    return false;
  }
}

async function forget(keys: string[]): Promise<void> {
  try {
    const db = await open();
    await Promise.all(keys.map((key) => db.delete("held", key)));
  } catch {
    // A browser that keeps nothing has nothing to forget.
  }
}

/** take makes of a chosen file what is held: a picture smaller, any other file as it is; or says why not. */
async function take(file: File, account: number, form: string): Promise<Held | { fault: string }> {
  const picture = file.type.startsWith("image/");
  const body = picture ? await smaller(file) : new Blob([file], { type: "application/octet-stream" });
  if (body === null) {
    return { fault: `“${file.name}” can’t be opened as a picture here. Let the phone save pictures as JPEG, or take it anew.` };
  }
  if (body.size > most_bytes || body.size === 0) {
    return { fault: body.size === 0 ? `“${file.name}” is empty.` : `“${file.name}” has more than 15 MB. Make it smaller, or split it.` };
  }
  return { key: newKey(), account, form, name: picture ? jpegName(file.name) : file.name, picture, body };
}

/** What a form holds, and what can be done with it. */
export interface Holding {
  held: Held[];
  /** Some are being made smaller. */
  busy: boolean;
  /** What could not be taken, in words, and that this browser keeps nothing. */
  faults: string[];
  add: (files: File[]) => Promise<void>;
  remove: (key: string) => void;
  clear: () => void;
}

/** useHeld gives the pictures and files of one form, those from before a reload too. */
export function useHeld(account: number, form: string): Holding {
  const [held, setHeld] = useState<Held[]>([]);
  const [faults, setFaults] = useState<string[]>([]);
  const [busy, setBusy] = useState(false);
  const newest = useRef<Held[]>([]);
  const show = (list: Held[]) => {
    newest.current = list;
    setHeld(list);
  };
  useEffect(() => {
    void readHeld(account, form).then((kept) => show([...kept, ...newest.current.filter((h) => !kept.some((k) => k.key === h.key))]));
  }, [account, form]);
  return {
    held,
    busy,
    faults,
    add: async (files) => {
      setBusy(true);
      const said = new Set<string>();
      for (const file of files) {
        const h = newest.current.length < most_files ? await take(file, account, form) : { fault: `An entry takes ${most_files} pictures and files. Write a second entry for “${file.name}”.` };
        if ("fault" in h) {
          said.add(h.fault);
          continue;
        }
        if (!(await keep(h))) {
          said.add("This browser keeps nothing. Don’t close the page before the entry is sent.");
        }
        show([...newest.current, h]);
      }
      setFaults([...said]);
      setBusy(false);
    },
    remove: (key) => {
      void forget([key]);
      show(newest.current.filter((h) => h.key !== key));
    },
    clear: () => {
      void forget(newest.current.map((h) => h.key));
      show([]);
    },
  };
}

import { useEffect, useState } from "preact/hooks";
import { api, ask, newKey, type Answer } from "../api/client";
import type { Trouble } from "../api/problem";
import type { RunAddress } from "../pages/run/fetch";
import { sendFile, type Net, type SeriesFile } from "./send";
import { forget, isHeldOnly, keep, readAll, type Upload } from "./store";

/** How long to wait before trying again while the notebook can't be reached. */
const again_ms = 10_000;

/** The notebook reads files up to here. */
export const most_bytes = 50_000_000;

/** How far a file is, as this page knows it. */
export interface Going {
  upload: Upload;
  /** As the notebook said it last; null before it was announced from this page. */
  file: SeriesFile | null;
  /** Why it does not go on; null while it does. */
  cut: Trouble | null;
  /** It is lost when the page is left. */
  heldOnly: boolean;
}

const files = new Map<string, SeriesFile>();
const cuts = new Map<string, Trouble>();
const watchers = new Set<() => void>();

/** A message to the other pages of this browser that something was put in or taken out. */
const channel = typeof BroadcastChannel === "undefined" ? null : new BroadcastChannel("leat-uploads");
channel?.addEventListener("message", () => watchers.forEach((w) => w()));
function changed(): void {
  watchers.forEach((w) => w());
  channel?.postMessage("changed");
}

const pathOf = ({ project, build, run }: RunAddress) => ({ project, build, run });

const net: Net = {
  announce: ({ at, name, body, sha256, key }) =>
    ask(
      api.POST("/api/v1/projects/{project}/builds/{build}/runs/{run}/files", {
        params: { path: pathOf(at) },
        body: { name, size: body.size, client_key: key, ...(sha256 === null ? {} : { sha256 }) },
      }),
    ),
  part: ({ at }, file, part, bytes): Promise<Answer<SeriesFile>> =>
    ask(
      api.PUT("/api/v1/projects/{project}/builds/{build}/runs/{run}/files/{file}/parts/{part}", {
        params: { path: { ...pathOf(at), file, part } },
        body: "",
        bodySerializer: () => bytes,
        headers: { "Content-Type": "application/octet-stream" },
      }),
    ),
  done: ({ at }, file) => ask(api.POST("/api/v1/projects/{project}/builds/{build}/runs/{run}/files/{file}/done", { params: { path: { ...pathOf(at), file } }, body: {} })),
};

/** addFile takes a file for a run, and begins to send. It answers what is wrong with it; empty when nothing is. */
export async function addFile(account: number, at: RunAddress, file: File): Promise<string> {
  if (file.size === 0 || file.size > most_bytes) {
    return file.size === 0 ? `${file.name} is empty.` : `${file.name} has more than 50 MB. Part it, or log less often.`;
  }
  let bytes: ArrayBuffer;
  try {
    bytes = await file.arrayBuffer();
  } catch {
    return `${file.name} can’t be read from this device. Close what has it open, and choose it again.`;
  }
  const sha256 = await sumOf(bytes);
  const before = (await readAll(account)).find((u) => isFor(u, at) && u.name === file.name && u.body.size === file.size && u.sha256 === sha256);
  if (before) {
    await tryAgain(before);
    return "";
  }
  await keep({ key: newKey(), account, at: pathOf(at), name: file.name.slice(-200), body: new Blob([bytes]), sha256, begun: new Date().toISOString(), refused: null });
  changed();
  void deliver(account);
  return "";
}

/** sumOf is the SHA-256; null where the browser has none to give, as on a plain http address. */
async function sumOf(bytes: ArrayBuffer): Promise<string | null> {
  if (!("subtle" in crypto)) {
    return null;
  }
  return Array.from(new Uint8Array(await crypto.subtle.digest("SHA-256", bytes)), (b) => b.toString(16).padStart(2, "0")).join("");
}

/** throwAway takes a file out, because the person said so. What the notebook has of it stays there. */
export async function throwAway(key: string): Promise<void> {
  await forget(key);
  changed();
}

/** tryAgain sends a file once more that was refused or cut off. */
export async function tryAgain(u: Upload): Promise<void> {
  await keep({ ...u, refused: null });
  changed();
  await deliver(u.account);
}

let last: Promise<void> = Promise.resolve();
let busy = 0;

/** deliver sends what waits, one page of this browser at a time. */
export function deliver(account: number): Promise<void> {
  const go = () => deliverAll(account);
  busy++;
  last = last.then(async () => {
    try {
      await ("locks" in navigator ? navigator.locks.request("leat-uploads", go) : go());
    } finally {
      busy--;
    }
  });
  return last;
}

async function deliverAll(account: number): Promise<void> {
  for (const u of await readAll(account)) {
    if (u.refused !== null) {
      continue;
    }
    cuts.delete(u.key);
    const outcome = await sendFile(u, net, (f) => {
      files.set(u.key, f);
      changed();
    });
    if (outcome.end === "there") {
      await forget(u.key);
    } else if (outcome.end === "refused") {
      await keep({ ...u, refused: outcome.trouble.faults[0]?.message ?? (outcome.trouble.detail || outcome.trouble.title) });
    } else {
      cuts.set(u.key, outcome.trouble);
    }
    changed();
  }
}

const isFor = (u: Upload, at: RunAddress) => u.at.project === at.project && u.at.build === at.build && u.at.run === at.run;

/** useUploads gives the files of an account on their way to a run, and keeps them going while the page is shown; sent says how many arrived meanwhile. */
export function useUploads(account: number, at: RunAddress): { going: Going[]; sent: number } {
  const [going, setGoing] = useState<Going[]>([]);
  const [sent, setSent] = useState(0);
  useEffect(() => {
    let gone = false;
    let before: string[] = [];
    const look = () =>
      void readAll(account).then((all) => {
        if (gone) {
          return;
        }
        const mine = all.filter((u) => isFor(u, at));
        const keys = mine.map((u) => u.key);
        const left = before.filter((k) => !keys.includes(k)).length;
        before = keys;
        setGoing(mine.map((upload) => ({ upload, file: files.get(upload.key) ?? null, cut: cuts.get(upload.key) ?? null, heldOnly: isHeldOnly(upload.key) })));
        setSent((n) => n + left);
      });
    const go = () => void deliver(account);
    watchers.add(look);
    look();
    go();
    const now_and_then = setInterval(() => (busy === 0 ? go() : undefined), again_ms);
    addEventListener("online", go);
    return () => {
      gone = true;
      watchers.delete(look);
      clearInterval(now_and_then);
      removeEventListener("online", go);
    };
  }, [account, at.project, at.build, at.run]);
  return { going, sent };
}

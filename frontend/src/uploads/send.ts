/** The way of a file to a run: announced, sent in parts, and read. */
import type { Answer, Schema } from "../api/client";
import type { Trouble } from "../api/problem";
import type { Upload } from "./store";

export type SeriesFile = Schema<"SeriesFile">;

/** What is asked of the notebook on the way. */
export interface Net {
  announce: (u: Upload) => Promise<Answer<SeriesFile>>;
  part: (u: Upload, file: number, number: number, bytes: Blob) => Promise<Answer<SeriesFile>>;
  done: (u: Upload, file: number) => Promise<Answer<SeriesFile>>;
}

/** How a try ended: the notebook has the file, it could not be reached, or it refused it. */
export type Outcome = { end: "there"; file: SeriesFile } | { end: "cut"; trouble: Trouble } | { end: "refused"; trouble: Trouble };

/**
 * sendFile sends what the notebook has not of a file yet. It may be called again
 * after any end: what arrived is not sent twice. told hears of each part.
 */
export async function sendFile(u: Upload, net: Net, told: (file: SeriesFile) => void): Promise<Outcome> {
  for (let round = 1; ; round++) {
    const end = await sendOnce(u, net, told);
    if (end.end !== "refused" || round === rounds || !again.has(end.trouble.code)) {
      return end;
    }
  }
}

/** Something was changed or lost on the way: sending what is asked for once more mends it. */
const again = new Set(["file-differs", "parts-missing"]);
const rounds = 3;

async function sendOnce(u: Upload, net: Net, told: (file: SeriesFile) => void): Promise<Outcome> {
  const announced = await net.announce(u);
  if (!announced.ok) {
    return stopped(announced.trouble);
  }
  let file = announced.data;
  told(file);
  for (const number of file.complete_at === null ? missingOf(file) : []) {
    const bytes = u.body.slice((number - 1) * file.part_bytes, number * file.part_bytes);
    const a = await net.part(u, file.id, number, bytes);
    if (!a.ok) {
      return stopped(a.trouble);
    }
    file = a.data;
    told(file);
  }
  if (file.read !== null) {
    return { end: "there", file };
  }
  const a = await net.done(u, file.id);
  if (a.ok) {
    return { end: "there", file: a.data };
  }
  // All of it arrived: what the file does not say itself is asked on its own page.
  return a.trouble.code === "file-unreadable" ? { end: "there", file } : stopped(a.trouble);
}

/** missingOf are the parts that are still to come. */
export const missingOf = (f: Pick<SeriesFile, "have" | "part_count">): number[] => Array.from({ length: f.part_count }, (_, i) => i + 1).filter((n) => !f.have.includes(n));

/** arrivedOf is how many bytes the notebook has. */
export function arrivedOf(f: Pick<SeriesFile, "have" | "part_count" | "part_bytes" | "size">): number {
  return f.have.reduce((sum, n) => sum + (n === f.part_count ? f.size - (n - 1) * f.part_bytes : f.part_bytes), 0);
}

const mends = new Set<Trouble["kind"]>(["offline", "expired", "busy", "broken"]);

function stopped(trouble: Trouble): Outcome {
  return { end: mends.has(trouble.kind) ? "cut" : "refused", trouble };
}

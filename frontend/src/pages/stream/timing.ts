/**
 * The timing of fills, kept in this browser with every press: a phone that
 * goes dark, a reload or a tab that is gone loses nothing.
 */
export interface Timing {
  /** Bucket, fall and depth as typed. */
  bucket: string;
  fall: string;
  depth: string;
  /** Each finished fill in seconds; a struck one is kept and not counted. */
  fills: { s: number; struck: boolean }[];
  /** When the running fill began, by the clock of the device, in ms; null while none runs. */
  began: number | null;
}

const place = "leat:stream";
const fresh: Timing = { bucket: "", fall: "", depth: "", fills: [], began: null };

/** readTiming takes up what was kept; what can't be read counts as nothing. */
export function readTiming(): Timing {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(place) ?? "null");
    return isTiming(kept) ? kept : fresh;
  } catch {
    return fresh;
  }
}

/** keepTiming keeps it; false when this browser keeps nothing. */
export function keepTiming(t: Timing): boolean {
  try {
    localStorage.setItem(place, JSON.stringify(t));
    return true;
  } catch {
    return false;
  }
}

/** emptied is a new gauging with the same bucket. */
export const emptied = (t: Timing): Timing => ({ ...t, fills: [], began: null });

/** counted are the fills that count, in seconds. */
export const counted = (t: Timing): number[] => t.fills.filter((f) => !f.struck).map((f) => f.s);

/** A second press so soon after the first is the same thumb. */
const bounce_ms = 400;
const longest_ms = 30 * 60_000;

/** press starts a fill or ends the running one, at a moment in ms. */
export function press(t: Timing, now: number): Timing {
  if (t.began === null) {
    return { ...t, began: now };
  }
  const took = now - t.began;
  if (took >= 0 && took < bounce_ms) {
    return t;
  }
  if (took < 0 || took > longest_ms) {
    return { ...t, began: null }; // the clock was set, or the phone lay in a pocket
  }
  return { ...t, began: null, fills: [...t.fills, { s: took / 1000, struck: false }] };
}

/** lost tells whether a press on a running fill gives nothing. */
export const lost = (t: Timing, now: number): boolean => t.began !== null && (now < t.began || now - t.began > longest_ms);

function isTiming(v: unknown): v is Timing {
  if (typeof v !== "object" || v === null || !("fills" in v) || !("began" in v)) {
    return false;
  }
  const texts = ["bucket", "fall", "depth"].every((k) => typeof (v as Record<string, unknown>)[k] === "string");
  return texts && Array.isArray(v.fills) && v.fills.every(isFill) && (v.began === null || typeof v.began === "number");
}

const isFill = (f: unknown) => typeof f === "object" && f !== null && "s" in f && typeof f.s === "number" && "struck" in f && typeof f.struck === "boolean";

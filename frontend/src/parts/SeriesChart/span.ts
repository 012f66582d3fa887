import { stepOf } from "../Plot/axis";
import { figures } from "../../units";

/** A span of time, in seconds from the start of the record. */
export interface Span {
  from: number;
  to: number;
}

export const lengthOf = (s: Span) => s.to - s.from;

export const holds = (s: Span, t: number) => t >= s.from && t <= s.to;

/** fitted keeps a span inside the whole, no shorter than the least there is sense in. */
export function fitted(span: Span, whole: Span, least: number): Span {
  const long = Math.min(lengthOf(whole), Math.max(lengthOf(span), least));
  const middle = (span.from + span.to) / 2;
  const from = Math.max(whole.from, Math.min(middle - long / 2, whole.to - long));
  return { from, to: from + long };
}

/** zoomed makes a span so many times as long, about its middle. */
export function zoomed(span: Span, times: number): Span {
  const middle = (span.from + span.to) / 2;
  const half = (lengthOf(span) * times) / 2;
  return { from: middle - half, to: middle + half };
}

/** moved shifts a span by a share of its own length. */
export function moved(span: Span, share: number): Span {
  const by = lengthOf(span) * share;
  return { from: span.from + by, to: span.to + by };
}

/** overlap is what two spans have in common. */
export function overlap(a: Span, b: Span): Span | null {
  const both = { from: Math.max(a.from, b.from), to: Math.min(a.to, b.to) };
  return both.to > both.from ? both : null;
}

const thin = "\u202F";
const parts: [string, number][] = [["d", 86_400], ["h", 3600], ["min", 60]];

/** timeText writes seconds as one says them, "1 h 20 min", to the given step. */
export function timeText(seconds: number, step = 1): string {
  const words: string[] = [];
  let left = Math.round(Math.abs(seconds) / step) * step;
  const sign = seconds < 0 && left > 0 ? "−" : "";
  for (const [name, size] of parts) {
    const n = Math.floor(left / size + 1e-9);
    if (n > 0) {
      words.push(`${n}${thin}${name}`);
      left -= n * size;
    }
  }
  if (left > step / 2 || words.length === 0) {
    words.push(`${figures(left, 6)}${thin}s`);
  }
  return sign + words.join("\u00a0");
}

/** stepFor is how finely times are said of a span of this length. */
export function stepFor(long: number): number {
  return long >= 300 ? 1 : stepOf(long / 1000, 1);
}

const steps = [1, 2, 5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600, 7200, 4 * 3600, 6 * 3600, 12 * 3600, 86_400];

/** timeTicks are round times in a span, about as many as there is room for. */
export function timeTicks(span: Span, most: number): { at: number; text: string }[] {
  const rough = lengthOf(span) / Math.max(1, most);
  const step = rough < 1 ? stepOf(rough, 1) : (steps.find((s) => s >= rough) ?? 86_400 * stepOf(rough / 86_400, 1));
  const first = Math.ceil(span.from / step - 1e-9);
  const last = Math.floor(span.to / step + 1e-9);
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, i) => ({ at: (first + i) * step, text: timeText((first + i) * step, Math.min(step, 1)) }));
}

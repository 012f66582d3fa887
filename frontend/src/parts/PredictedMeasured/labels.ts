/** A place on the screen, in pixels. */
export interface Spot {
  x: number;
  y: number;
}

export interface Box extends Spot {
  width: number;
  height: number;
}

/** A line between two places. */
export type Stroke = readonly [Spot, Spot];

/** What wants a label, and how large that is. */
export interface Wanting {
  id: string;
  at: Spot;
  width: number;
  height: number;
}

export interface Label {
  id: string;
  box: Box;
  /** From the mark to a label that stands off. */
  leader: Stroke | null;
}

const reaches = [9, 18, 30, 46, 66, 90, 120]; // px from the mark to the label
const turns = 16;
const clear = 3; // px between a label and anything it must not touch
const crossing = 60; // px that a label rather stands farther off than cross a line
const mark = 7; // px, the radius of a mark

interface Placed {
  labels: Label[];
  left: string[];
}

const rounds = 4;

/**
 * placeLabels stands each label beside its mark so that it neither covers
 * another, a mark or a leader nor leaves the frame; among such places it takes
 * the nearest that crosses fewest of the given lines. What found no place
 * chooses first in the next round; where no round has a place for all, the one
 * that leaves out the fewest stands.
 */
export function placeLabels(wanting: Wanting[], frame: Box, strokes: Stroke[]): Placed {
  let order = byCrowd(wanting);
  let best = placedInTurn(order, frame, strokes);
  let last = best;
  for (let i = 1; i < rounds && last.left.length > 0; i++) {
    const out = new Set(last.left);
    order = [...order.filter((w) => out.has(w.id)), ...order.filter((w) => !out.has(w.id))];
    last = placedInTurn(order, frame, strokes);
    best = last.left.length < best.left.length ? last : best;
  }
  return best;
}

function placedInTurn(wanting: Wanting[], frame: Box, strokes: Stroke[]): Placed {
  const labels: Label[] = [];
  const left: string[] = [];
  const marks = wanting.map((w) => grown({ x: w.at.x, y: w.at.y, width: 0, height: 0 }, mark));
  for (const w of wanting) {
    const free = candidates(w).filter((c) => inside(c.box, frame) && !marks.some((m) => over(m, c.box)) && labels.every((l) => agree(c, l)));
    const best = least(free, (c) => c.cost + crossing * strokes.filter((s) => crosses(s, c.box)).length);
    if (best) {
      labels.push({ id: w.id, box: best.box, leader: best.leader });
    } else {
      left.push(w.id);
    }
  }
  return { labels, left };
}

/** byCrowd puts those with the most neighbours first: they have the least choice. */
function byCrowd(wanting: Wanting[]): Wanting[] {
  const near = (w: Wanting) => wanting.filter((o) => Math.hypot(o.at.x - w.at.x, o.at.y - w.at.y) < 60).length;
  return [...wanting].sort((a, b) => near(b) - near(a) || (a.id < b.id ? -1 : 1));
}

type Candidate = Omit<Label, "id"> & { cost: number };

function candidates({ at, width, height }: Wanting): Candidate[] {
  return reaches.flatMap((reach, i) =>
    Array.from({ length: turns }, (_, k) => {
      const angle = (2 * Math.PI * (k + 0.5)) / turns - Math.PI / 2;
      const [dx, dy] = [Math.cos(angle), Math.sin(angle)];
      const middle = { x: at.x + dx * (reach + width / 2), y: at.y + dy * (reach + height / 2) };
      const box = { x: middle.x - width / 2, y: middle.y - height / 2, width, height };
      const end = nearest(box, at);
      return { box, leader: i > 0 ? ([at, end] as const) : null, cost: reach };
    }),
  );
}

function nearest(box: Box, p: Spot): Spot {
  return { x: Math.max(box.x, Math.min(p.x, box.x + box.width)), y: Math.max(box.y, Math.min(p.y, box.y + box.height)) };
}

/** agree says that a label and its leader keep clear of one placed before. */
function agree(c: Candidate, l: Label): boolean {
  if (over(grown(c.box, clear), l.box) || (l.leader && crosses(l.leader, grown(c.box, clear)))) {
    return false;
  }
  return !c.leader || !(crosses(c.leader, grown(l.box, clear)) || (l.leader && meet(c.leader, l.leader)));
}

/** meet says whether two lines cross: each has the ends of the other on both its sides. */
export function meet([a, b]: Stroke, [c, d]: Stroke): boolean {
  const side = (p: Spot, q: Spot, r: Spot) => Math.sign((q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x));
  return side(a, b, c) !== side(a, b, d) && side(c, d, a) !== side(c, d, b);
}

function inside(b: Box, frame: Box): boolean {
  return b.x >= frame.x + clear && b.y >= frame.y + clear && b.x + b.width <= frame.x + frame.width - clear && b.y + b.height <= frame.y + frame.height - clear;
}

const grown = (b: Box, by: number): Box => ({ x: b.x - by, y: b.y - by, width: b.width + 2 * by, height: b.height + 2 * by });

export const over = (a: Box, b: Box) => a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height;

/** crosses says whether a line goes through a box: it is cut at each side in turn, and something is left. */
export function crosses([a, b]: Stroke, box: Box): boolean {
  let [from, to] = [0, 1];
  for (const [start, way, low, high] of [
    [a.x, b.x - a.x, box.x, box.x + box.width],
    [a.y, b.y - a.y, box.y, box.y + box.height],
  ] as const) {
    if (way === 0) {
      if (start <= low || start >= high) {
        return false;
      }
      continue;
    }
    const [p, q] = [(low - start) / way, (high - start) / way];
    from = Math.max(from, Math.min(p, q));
    to = Math.min(to, Math.max(p, q));
  }
  return from < to;
}

function least<T>(list: T[], cost: (t: T) => number): T | null {
  let best: { it: T; cost: number } | null = null;
  for (const it of list) {
    const c = cost(it);
    if (!best || c < best.cost) {
      best = { it, cost: c };
    }
  }
  return best?.it ?? null;
}

import { place, wrap, type MeasureText, type Note, type Placed } from "./labels";
import type { Dimension, Elevation, Measure, Part, Pin, Point } from "./model";
import { fit, fitOnPaper, type Scale, type Spot } from "./scale";

/** What a drawing is laid out for. */
export interface Sheet {
  /** Width of the place for it, in pixels. */
  width: number;
  /** Greatest height, in pixels. */
  height: number;
  fontSize: number;
  /** Only what matters most: for the short form that stays in view. */
  short: boolean;
  /** At one of the scales of a drawing office, for paper. */
  paper?: boolean;
  measure: MeasureText;
  /** Writes a value in the reader's units. */
  write: (value: number, quantity: Measure | "level") => string;
}

/** A note knows what it points at. */
export interface Pointer extends Note {
  part: Part;
  kind: "level" | "dimension" | "label" | "warning";
  /** The whole text, where lines are only its number. */
  text: string;
  anchor: Spot;
}

/** A text on the drawing: its box, its lines, and the line that leads from it to what it speaks of. */
export interface Text extends Placed<Pointer> {
  box: { x: number; y: number; width: number; height: number };
  leader: Spot[];
}

/** A dimension line with the two lines that carry it out of the machine. */
export interface Measured {
  id: string;
  part: Part;
  x: number;
  top: Spot;
  bottom: Spot;
}

/** A drawing laid out for one place: everything in pixels. */
export interface Composition {
  width: number;
  height: number;
  scale: Scale;
  /** From metres to the sheet. */
  at: (point: Point) => Spot;
  texts: Text[];
  measures: Measured[];
  lineHeight: number;
  /** Beside the machine stand numbers, since it is too wide for texts: they are for a list below it. */
  keyed: boolean;
  /** Texts that found no room. */
  dropped: number;
}

const oneColumn = 440; // px of width below which all texts stand on the right
const keyedBelow = 640; // px of width below which a wide machine has numbers beside it
const wideMachine = 1.2; // width over height from which it is wide
const tallest = 560; // px that a machine with its texts in one column may take without need
const wide = 18; // px beside the machine, for a dimension line
const close = 12; // px of it for one line, where there is one column
const narrow = 10; // px there without one, for the bend of the leaders
const edge = 12; // px around the machine, for marks and gauges
const padding = 3; // px inside a text's box
/** Pixels between the text of a warning and the outside of its double frame. */
export const frame = 5;

/** compose lays a drawing out: the machine in the middle, its texts in a column on either side; where room is short all of them on the right. */
export function compose(drawing: Elevation, sheet: Sheet): Composition {
  const lineHeight = Math.round(sheet.fontSize * 1.22);
  const keyed = !sheet.short && !sheet.paper && sheet.width < keyedBelow && widthOverHeight(drawing) > wideMachine;
  const one = sheet.short || (!keyed && sheet.width < oneColumn);
  const most = Math.max(58, Math.floor(sheet.width * (sheet.short ? 0.3 : one ? 0.4 : 0.235)));
  const all = wordsOf(drawing, sheet);
  const kept = all.filter((w) => !sheet.short || w.rank === 1);
  const wanted = one ? kept.map((w) => ({ ...w, side: "right" as const })) : kept;
  const notes = wanted.map((w) => {
    const inside = w.kind === "warning" ? 2 * frame : 0;
    return { ...w, lines: keyed ? ["88"] : wrap(w.text, most - 2 * padding - inside, sheet.measure), pad: inside / 2, inside };
  });
  const column = (side: "left" | "right") =>
    Math.ceil(Math.max(0, ...notes.filter((n) => n.side === side).flatMap((n) => n.lines.map((l) => sheet.measure(l) + n.inside + 2 * padding + 2))));
  // Notes may move over, so both columns take any of them.
  const crowded = !one && notes.length * 1.6 * (lineHeight + 4) > 2 * sheet.height * 0.8;
  const left = crowded ? Math.max(column("left"), column("right")) : column("left");
  const right = crowded ? left : column("right");

  const dimensions = drawing.dimensions.filter((d) => !sheet.short || d.rank === 1);
  const measured = inLanes(one ? dimensions.map((d) => ({ ...d, side: "right" as const })) : dimensions);
  const lanesOn = (side: "left" | "right") => Math.max(0, ...measured.filter((d) => d.side === side).map((d) => d.lane + 1));
  const step = one || keyed ? close : wide;
  const lane = { left: Math.max(narrow, step * lanesOn("left")), right: Math.max(narrow, step * lanesOn("right")) };
  const least = Math.min(sheet.height, textHeight(notes, lineHeight));
  const high = one && !sheet.short ? Math.min(sheet.height, Math.max(least, tallest)) : sheet.height;
  const room = { width: Math.max(30, sheet.width - left - right - lane.left - lane.right - 2 * edge), height: high - 2 * edge };
  const scale = (sheet.paper ? fitOnPaper : fit)(drawing, room);
  const height = Math.ceil(Math.min(sheet.height, Math.max(scale.height + 2 * edge, least)));
  const x0 = left + lane.left + edge + (room.width - scale.width) / 2;
  const y0 = (height - scale.height) / 2;
  const at = (p: Point): Spot => {
    const s = scale.to(p);
    return { x: x0 + s.x, y: y0 + s.y };
  };

  const lanes = { left: left + lane.left - 0.4 * step, right: sheet.width - right - lane.right + 0.4 * step };
  const measures = measuresOf(measured, at, lanes, step);
  const pointers: Pointer[] = notes.map((n) => {
    const anchor = n.kind === "dimension" ? middle(measures, n.id) : at(n.point);
    return { ...n, anchor, y: anchor.y };
  });
  const { placed, dropped } = place(pointers, { height, lineHeight, gap: 4, both: !one });
  const texts = placed.map((p) => withBox(p, { left, right, width: sheet.width }, lanes));
  return { width: sheet.width, height, scale, at, texts: keyed ? numbered(texts) : texts, measures, lineHeight, keyed, dropped: dropped.length };
}

const widthOverHeight = ({ frame: f }: Elevation) => (f.x1 - f.x0) / Math.max(f.z1 - f.z0, 1e-6);

/** numbered gives texts their number in place of their words, down the left side and then the right. */
function numbered(texts: Text[]): Text[] {
  const sides = [texts.filter((t) => t.note.side === "left"), texts.filter((t) => t.note.side === "right")];
  const order = sides.flatMap((side) => side.sort((a, b) => a.box.y - b.box.y));
  return order.map((t, i) => ({ ...t, note: { ...t.note, lines: [String(i + 1)] } }));
}

interface Wanted {
  id: string;
  part: Part;
  kind: Pointer["kind"];
  text: string;
  side: "left" | "right";
  rank: number;
  point: Point;
}

function wordsOf(drawing: Elevation, sheet: Sheet): Wanted[] {
  return [
    ...(sheet.short ? gathered(drawing.warnings) : drawing.warnings).map((w) => ({ ...w, text: pinText(w, sheet.short), id: `warning-${w.code}`, kind: "warning" as const, rank: 1, point: w.at })),
    ...drawing.levels.map((l) => ({ ...l, kind: "level" as const, point: l.at, text: `${l.text} ${sheet.write(l.value, "level")}` })),
    ...drawing.dimensions.map((d) => ({ ...d, kind: "dimension" as const, point: d.from, text: `${d.text} ${sheet.write(d.value, "length")}` })),
    ...drawing.labels.map((l) => ({ ...l, kind: "label" as const, point: l.at, text: labelText(l, sheet) })),
  ];
}

function pinText(w: Pin, short: boolean): string {
  return short || w.detail === undefined ? w.text : `${w.detail}, ${w.text}`;
}

/** gathered keeps one pin for each part, which says how many there are, or that the part is not allowed. */
function gathered(pins: Pin[]): Pin[] {
  const first = new Map<Part, Pin>();
  for (const pin of pins) {
    const own = pins.filter((p) => p.part === pin.part);
    if (!first.has(pin.part)) {
      const worst = own.find((p) => p.code.startsWith("NOT_ALLOWED"));
      first.set(pin.part, worst ?? (own.length === 1 ? pin : { ...pin, text: `${own.length} warnings` }));
    }
  }
  return [...first.values()];
}

function labelText(l: { text: string; value?: number; quantity?: Measure }, sheet: Sheet): string {
  return l.value === undefined || l.quantity === undefined ? l.text : `${l.text} ${sheet.write(l.value, l.quantity)}`;
}

/** textHeight is the height that the fuller side needs for its texts. */
function textHeight(notes: { side: string; lines: string[]; pad: number }[], lineHeight: number): number {
  const tall = (side: string) => notes.filter((n) => n.side === side).reduce((sum, n) => sum + n.lines.length * lineHeight + 2 * n.pad + 4, 0);
  return Math.max(tall("left"), tall("right")) + 2;
}

/** inLanes gives dimensions of one side that stand beside each other a lane each, counted from the machine outward. */
function inLanes(dimensions: Dimension[]): (Dimension & { lane: number })[] {
  const laid: (Dimension & { lane: number })[] = [];
  for (const d of dimensions) {
    const beside = laid.filter((o) => o.side === d.side && heightsOf(o).low < heightsOf(d).high && heightsOf(d).low < heightsOf(o).high);
    let lane = 0;
    while (beside.some((o) => o.lane === lane)) {
      lane++;
    }
    laid.push({ ...d, lane });
  }
  return laid;
}

const heightsOf = (d: Dimension) => ({ low: d.to[1] ?? 0, high: d.from[1] ?? 0 });

function measuresOf(dimensions: (Dimension & { lane: number })[], at: (p: Point) => Spot, lanes: Record<"left" | "right", number>, step: number): Measured[] {
  return dimensions.map((d) => ({ id: d.id, part: d.part, x: lanes[d.side] + (d.side === "left" ? -step : step) * d.lane, top: at(d.from), bottom: at(d.to) }));
}

function middle(measures: Measured[], id: string): Spot {
  const m = measures.find((one) => one.id === id);
  return m ? { x: m.x, y: (m.top.y + m.bottom.y) / 2 } : { x: 0, y: 0 };
}

/** withBox gives a text its box in the column of its side, and the line from there to its anchor. */
function withBox(p: Placed<Pointer>, columns: { left: number; right: number; width: number }, lanes: Record<"left" | "right", number>): Text {
  const { side, anchor, kind } = p.note;
  const width = (side === "left" ? columns.left : columns.right) - 2;
  const x = side === "left" ? 1 : columns.width - width - 1;
  const inner = side === "left" ? x + width : x;
  const toward = side === "left" ? 1 : -1;
  const y = p.top + p.tall / 2;
  const leader: Spot[] = [{ x: inner, y }];
  if (kind === "dimension" && (side === "left" ? anchor.x <= lanes.left : anchor.x >= lanes.right)) {
    leader.push(anchor);
  } else {
    leader.push({ x: lanes[side] + toward * 6, y: anchor.y }, anchor);
  }
  return { ...p, box: { x, y: p.top, width, height: p.tall }, leader };
}

import type { Elevation } from "./model";

/** A place on the screen, in pixels from the top left. */
export interface Spot {
  x: number;
  y: number;
}

/** How metres become pixels: heights straight, widths with narrow pipes kept visible. */
export interface Scale {
  /** Pixels to the metre. */
  perMetre: number;
  /** Some pipe is drawn wider than it is. */
  widened: boolean;
  width: number;
  height: number;
  to: (point: readonly number[]) => Spot;
}

/** A place for a drawing, in pixels. */
export interface Room {
  width: number;
  height: number;
}

/** The least width of a pipe on the screen, in pixels. */
export const leastPipe = 11;

/** The least width of a pipe on paper: a little over a millimetre. */
export const leastOnPaper = 5;

/** Pixels to a metre of paper: a CSS pixel is 1/96 of an inch. */
export const paperMetre = 96 / 0.0254;

/**
 * fit finds the largest scale at which the drawing fits into a room. Heights
 * are true; each span named in columns is at least leastPipe wide and pushes
 * what stands right of it aside.
 */
export function fit(drawing: Elevation, room: Room): Scale {
  let low = 0;
  let high = room.height / tall(drawing);
  if (widthAt(drawing, high, leastPipe) > room.width) {
    for (let i = 0; i < 50; i++) {
      const mid = (low + high) / 2;
      if (widthAt(drawing, mid, leastPipe) > room.width) {
        high = mid;
      } else {
        low = mid;
      }
    }
    high = Math.max(low, 1e-9);
  }
  return scaleOf(drawing, high, leastPipe);
}

/**
 * fitOnPaper takes the largest of the scales that drawings are made at, 1:1,
 * 1:2, 1:5, 1:10 and so on (ISO 5455, from memory), that fits into a room.
 */
export function fitOnPaper(drawing: Elevation, room: Room): Scale {
  let perMetre = paperMetre;
  for (let decade = 1; decade <= 1e6; decade *= 10) {
    for (const n of [decade, 2 * decade, 5 * decade]) {
      perMetre = paperMetre / n;
      if (tall(drawing) * perMetre <= room.height && widthAt(drawing, perMetre, leastOnPaper) <= room.width) {
        return scaleOf(drawing, perMetre, leastOnPaper);
      }
    }
  }
  return scaleOf(drawing, perMetre, leastOnPaper);
}

function scaleOf(drawing: Elevation, perMetre: number, least: number): Scale {
  const { x0, x1, z1 } = drawing.frame;
  return {
    perMetre,
    widened: drawing.columns.some((c) => (c.x1 - c.x0) * perMetre < least - 0.5),
    width: across(drawing, perMetre, least, x1),
    height: tall(drawing) * perMetre,
    to: ([x = x0, z = z1]) => ({ x: across(drawing, perMetre, least, x), y: (z1 - z) * perMetre }),
  };
}

const tall = ({ frame }: Elevation) => Math.max(frame.z1 - frame.z0, 1e-6);

function widthAt(drawing: Elevation, perMetre: number, least: number): number {
  return across(drawing, perMetre, least, drawing.frame.x1);
}

/** across maps x to pixels: in even steps, but stretched inside narrow columns. */
function across(drawing: Elevation, perMetre: number, least: number, x: number): number {
  let px = (x - drawing.frame.x0) * perMetre;
  for (const c of drawing.columns) {
    const wide = c.x1 - c.x0;
    const more = Math.max(0, least - wide * perMetre);
    const share = Math.min(1, Math.max(0, (x - c.x0) / wide));
    px += more * share;
  }
  return px;
}

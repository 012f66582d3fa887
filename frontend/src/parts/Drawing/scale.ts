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

/** The least width of a pipe on the screen, in pixels. */
export const leastPipe = 11;

/**
 * fit finds the largest scale at which the drawing fits into a room of
 * pixels. Heights are true; each span named in columns is at least leastPipe
 * wide and pushes what stands right of it aside.
 */
export function fit(drawing: Elevation, room: { width: number; height: number }): Scale {
  const { x0, x1, z0, z1 } = drawing.frame;
  const tall = Math.max(z1 - z0, 1e-6);
  let low = 0;
  let high = room.height / tall;
  if (widthAt(drawing, high) > room.width) {
    for (let i = 0; i < 50; i++) {
      const mid = (low + high) / 2;
      if (widthAt(drawing, mid) > room.width) {
        high = mid;
      } else {
        low = mid;
      }
    }
    high = Math.max(low, 1e-9);
  }
  const perMetre = high;
  return {
    perMetre,
    widened: drawing.columns.some((c) => (c.x1 - c.x0) * perMetre < leastPipe - 0.5),
    width: across(drawing, perMetre, x1),
    height: tall * perMetre,
    to: ([x = x0, z = z0]) => ({ x: across(drawing, perMetre, x), y: (z1 - z) * perMetre }),
  };
}

function widthAt(drawing: Elevation, perMetre: number): number {
  return across(drawing, perMetre, drawing.frame.x1);
}

/** across maps x to pixels: in even steps, but stretched inside narrow columns. */
function across(drawing: Elevation, perMetre: number, x: number): number {
  let px = (x - drawing.frame.x0) * perMetre;
  for (const c of drawing.columns) {
    const wide = c.x1 - c.x0;
    const more = Math.max(0, leastPipe - wide * perMetre);
    const share = Math.min(1, Math.max(0, (x - c.x0) / wide));
    px += more * share;
  }
  return px;
}

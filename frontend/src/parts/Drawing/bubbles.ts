import type { Spot } from "./scale";

const apart = 5.2; // px between places for a bubble
const row = 4.5; // px between rows of them
const clear = 2.4; // px between a bubble's middle and the wall
/** The share of air at which every place has its bubble. */
const full = 0.4;

/**
 * bubbles strews bubbles over an area so that their number goes with the share
 * of air in it. Places hang on the sheet, not on the area: from one length of
 * a pipe to the next bubbles only thin out. The path has a dot for each.
 */
export function bubbles(corners: Spot[], void_: number): string {
  const ys = corners.map((c) => c.y);
  const last = Math.ceil(Math.max(...ys) / row) - 1;
  let path = "";
  for (let j = Math.ceil(Math.min(...ys) / row); j <= last; j++) {
    const [left, right] = walls(corners, j * row);
    for (let i = Math.ceil((left + clear) / apart); i * apart <= right - clear; i++) {
      if (scatter(i, j) * full < void_) {
        const x = i * apart + (scatter(j, i) - 0.5) * 2;
        path += `M${Math.min(Math.max(x, left + clear), right - clear).toFixed(1)} ${(j * row + (j + i) % 2).toFixed(1)}h0`;
      }
    }
  }
  return path;
}

/** walls gives where a level line enters and leaves an area without bays. */
function walls(corners: Spot[], y: number): [number, number] {
  let [left, right] = [Infinity, -Infinity];
  corners.forEach((a, i) => {
    const b = corners[(i + 1) % corners.length] ?? a;
    if (Math.min(a.y, b.y) <= y && y <= Math.max(a.y, b.y)) {
      const share = a.y === b.y ? 0 : (y - a.y) / (b.y - a.y);
      const x = a.x + share * (b.x - a.x);
      left = Math.min(left, x);
      right = Math.max(right, x);
    }
  });
  return [left, right];
}

/** scatter gives each place a number from 0 to 1 that looks like chance and is always the same. */
function scatter(i: number, j: number): number {
  let n = Math.imul(i, 0x27d4eb2d) ^ Math.imul(j + 0x9e37, 0x165667b1);
  n = Math.imul(n ^ (n >>> 15), 0x2c1b3c6d);
  return ((n ^ (n >>> 13)) >>> 0) / 2 ** 32;
}

import type { Spot } from "./scale";

// Many lines of one kind are one path: an element of its own for each takes long to appear.

/** Path is the lines of one kind, if there are any. */
export function Path({ kind, d }: { kind: string; d: string }) {
  return d === "" ? null : <path class={kind} d={d} />;
}

function through(points: Spot[]): string {
  return points.map((p, i) => `${i === 0 ? "M" : "L"}${p.x.toFixed(1)} ${p.y.toFixed(1)}`).join("");
}

/** lines is a path along each row of points. */
export function lines(rows: Spot[][]): string {
  return rows.map(through).join("");
}

/** areas is a path around each row of points, back to its start. */
export function areas(rows: Spot[][]): string {
  return rows.map((row) => `${through(row)}Z`).join("");
}

/** ring is a circle as part of a path; the radius is in pixels. */
export function ring({ x, y }: Spot, radius: number): string {
  const half = (way: number) => `a${radius.toFixed(2)} ${radius.toFixed(2)} 0 1 1 ${(2 * radius * way).toFixed(2)} 0`;
  return `M${(x - radius).toFixed(2)} ${y.toFixed(2)}${half(1)}${half(-1)}`;
}

/** box is a rectangle as part of a path. */
export function box(x: number, y: number, width: number, height: number): string {
  return `M${x} ${y}h${width}v${height}h${-width}z`;
}

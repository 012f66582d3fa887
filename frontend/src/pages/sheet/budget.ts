/** One part of the head budget, in metres of fall; below 0 where it gives back. */
export interface Piece {
  id: string;
  words: string;
  m: number;
}

/** A piece as it stands in the column: y and height in pixels from the top, at is the middle of its text. */
export interface Part extends Piece {
  y: number;
  height: number;
  at: number;
}

/** A column of fall cut into its parts, all to one scale. */
export interface Column {
  parts: Part[];
  /** Pixels from the top of the column to the headwater: what is given back stands above it. */
  headwater: number;
  /** What is given back, summed, in metres. */
  back: number;
  height: number;
}

const leastText = 21; // px from text to text
const small = 0.025; // of the column

/**
 * columnOf cuts a column of the given height in pixels. The parts that take
 * fall stand in the order of the water; those too thin to be told apart are put
 * together before the last. What is given back makes the column longer than
 * the fall, since the other parts take that too.
 */
export function columnOf(pieces: Piece[], height: number): Column {
  const taking = pieces.filter((p) => p.m > 0);
  const back = pieces.filter((p) => p.m < 0).reduce((sum, p) => sum - p.m, 0);
  const total = taking.reduce((sum, p) => sum + p.m, 0);
  const scale = total > 0 ? height / total : 0;
  let y = 0;
  const parts = gathered(taking, small * total).map((p) => {
    const part = { ...p, y, height: p.m * scale, at: y + (p.m * scale) / 2 };
    y += part.height;
    return part;
  });
  return { parts: spread(parts, height), headwater: back * scale, back, height };
}

function gathered(pieces: Piece[], least: number): Piece[] {
  const thin = pieces.filter((p) => p.m < least);
  if (thin.length < 2) {
    return pieces;
  }
  const thick = pieces.filter((p) => p.m >= least);
  const together = { id: "small", words: `${thin.length} small parts`, m: thin.reduce((sum, p) => sum + p.m, 0) };
  return [...thick.slice(0, -1), together, ...thick.slice(-1)];
}

/** spread moves the texts apart, down first and then up again from the lower end. */
function spread(parts: Part[], height: number): Part[] {
  let last = -Infinity;
  const down = parts.map((p) => {
    last = Math.max(p.at, last + leastText);
    return { ...p, at: last };
  });
  let next = height + leastText;
  return down
    .reverse()
    .map((p) => {
      next = Math.min(p.at, next - leastText);
      return { ...p, at: next };
    })
    .reverse();
}

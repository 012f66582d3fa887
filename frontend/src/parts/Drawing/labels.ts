/** A text that wants to stand beside the drawing, at the height of what it speaks of. */
export interface Note {
  id: string;
  /** Lines, already broken for the width at hand. */
  lines: string[];
  /** The height it had best stand at, the middle of its lines. */
  y: number;
  side: "left" | "right";
  /** Room above and below the lines, for a frame around them. */
  pad: number;
  /** 1: stays as long as anything; higher goes first. */
  rank: number;
}

/** A note with its place: the top of its box. */
export interface Placed<N extends Note> {
  note: N;
  top: number;
  tall: number;
}

export interface Room {
  height: number;
  /** Whether a note may move to the other side where its own is full. */
  both: boolean;
  lineHeight: number;
  /** Between two notes. */
  gap: number;
}

/**
 * place puts the notes of both sides into their columns so that none covers
 * another or leaves the frame, each as near to its height as that allows.
 * Where a side is too full, notes of the highest rank move over, and go if
 * there is no room there either.
 */
export function place<N extends Note>(notes: N[], room: Room): { placed: Placed<N>[]; dropped: N[] } {
  const sides = { left: notes.filter((n) => n.side === "left"), right: notes.filter((n) => n.side === "right") };
  const dropped: N[] = [];
  for (const side of ["left", "right"] as const) {
    const other = side === "left" ? "right" : "left";
    while (need(sides[side], room) > room.height) {
      const out = least(sides[side]);
      sides[side] = sides[side].filter((n) => n !== out);
      if (room.both && need([...sides[other], out], room) <= room.height) {
        sides[other].push({ ...out, side: other });
      } else {
        dropped.push(out);
      }
    }
  }
  return { placed: [...stack(sides.left, room), ...stack(sides.right, room)], dropped };
}

/** tallOf is the height of a note's box. */
export function tallOf(note: Note, room: Room): number {
  return note.lines.length * room.lineHeight + 2 * note.pad;
}

function need(notes: Note[], room: Room): number {
  return notes.reduce((sum, n) => sum + tallOf(n, room) + room.gap, 0) - (notes.length > 0 ? room.gap : 0);
}

/** least is the note that can best be missed: the last of the highest rank. */
function least<N extends Note>(notes: N[]): N {
  return notes.reduce((worst, n) => (n.rank >= worst.rank ? n : worst));
}

/**
 * stack places the notes of one side from top to bottom with the least total
 * displacement squared: notes that would overlap form blocks, and blocks that
 * would overlap are joined and share their displacement.
 */
function stack<N extends Note>(notes: N[], room: Room): Placed<N>[] {
  const sorted = [...notes].sort((a, b) => a.y - b.y || (a.id < b.id ? -1 : 1));
  const blocks: { notes: N[]; tall: number; sum: number }[] = [];
  for (const note of sorted) {
    const tall = tallOf(note, room) + room.gap;
    let block = { notes: [note], tall, sum: note.y - tallOf(note, room) / 2 };
    for (let above = blocks.at(-1); above && topOf(above, room) + above.tall > topOf(block, room); above = blocks.at(-1)) {
      blocks.pop();
      block = { notes: [...above.notes, ...block.notes], tall: above.tall + block.tall, sum: above.sum + block.sum - above.tall * block.notes.length };
    }
    blocks.push(block);
  }
  return blocks.flatMap((b) => spread(b, room));
}

/** topOf is where a block starts: at the mean of what its notes want, inside the frame. */
function topOf(block: { notes: Note[]; tall: number; sum: number }, room: Room): number {
  const wanted = block.sum / block.notes.length;
  return Math.max(0, Math.min(wanted, room.height - (block.tall - room.gap)));
}

function spread<N extends Note>(block: { notes: N[]; tall: number; sum: number }, room: Room): Placed<N>[] {
  let top = topOf(block, room);
  return block.notes.map((note) => {
    const placed = { note, top, tall: tallOf(note, room) };
    top += placed.tall + room.gap;
    return placed;
  });
}

/** Gives the width of a text in pixels. */
export type MeasureText = (text: string) => number;

/**
 * wrap breaks a text at spaces into lines no wider than the given width. A
 * single word that is wider stands alone; values are kept with their unit by a
 * space that does not break.
 */
export function wrap(text: string, width: number, measure: MeasureText): string[] {
  const lines: string[] = [];
  let line = "";
  for (const word of text.split(" ")) {
    const longer = line === "" ? word : `${line} ${word}`;
    if (line !== "" && measure(longer) > width) {
      lines.push(line);
      line = word;
    } else {
      line = longer;
    }
  }
  return [...lines, line];
}

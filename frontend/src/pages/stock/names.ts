import type { Schema } from "../../api/client";

type Line = Schema<"CatalogueLine">;

/** nameOfLine writes a pipe as parts lists name it. */
export const nameOfLine = (l: Line) => `${l.standard}, ${l.series}, ${l.designation}`;

/** Names tells keys of the catalogue from names that members gave. */
export interface Names {
  lines: Line[];
  /** The name of a thing by its key. */
  of: (key: string) => string;
  /** The key of what was typed: a line of the catalogue by its name, else the text itself. */
  key: (typed: string) => string;
  line: (key: string) => Line | undefined;
}

export function namesOf(lines: Line[]): Names {
  const byKey = new Map(lines.map((l) => [l.key, l]));
  const byName = new Map(lines.map((l) => [nameOfLine(l), l.key]));
  return {
    lines,
    of: (key) => {
      const line = byKey.get(key);
      return line ? nameOfLine(line) : key;
    },
    key: (typed) => byName.get(typed.trim()) ?? typed.trim(),
    line: (key) => byKey.get(key),
  };
}

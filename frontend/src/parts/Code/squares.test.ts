import { expect, test } from "vitest";
import { quiet, squares } from "./squares";

/** painted reads a path back into rows, without what stands around them. */
function painted(path: string, size: number): string[] {
  const rows = Array.from({ length: size }, () => Array.from({ length: size }, () => "0"));
  for (const [, x = "", y = "", w = ""] of path.matchAll(/M(\d+) (\d+)h(\d+)v1h-\3z/g)) {
    for (let i = 0; i < Number(w); i++) {
      const row = rows[Number(y) - quiet];
      if (row) {
        row[Number(x) - quiet + i] = "1";
      }
    }
  }
  return rows.map((r) => r.join(""));
}

// The finder pattern as ISO/IEC 18004 draws it: 7 by 7, with a light ring. From memory.
const finder = ["1111111", "1000001", "1011101", "1011101", "1011101", "1000001", "1111111"];

test("what is painted is what the rows say", () => {
  expect(painted(squares(finder), 7)).toEqual(finder);
});

test("each run of a row is one piece", () => {
  expect(squares(["1101"]).match(/M/g)).toHaveLength(2);
  expect(squares(["0000"])).toBe("");
});

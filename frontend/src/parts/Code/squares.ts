/** The light squares that belong around a QR code (ISO/IEC 18004). */
export const quiet = 4;

/** squares writes the dark squares of a QR code as a path, each run of a row as one piece; one square is one unit. */
export function squares(rows: string[]): string {
  return rows
    .flatMap((row, y) => [...row.matchAll(/1+/g)].map((run) => `M${run.index + quiet} ${y + quiet}h${run[0].length}v1h-${run[0].length}z`))
    .join("");
}

import type { Worked } from "./fetch";

type Line = Worked["lines"][number];

/** One error in the budget of a value: a line, or all lines of one source together. */
export interface Part {
  name: string;
  /** Standard uncertainty that it makes, with its sign, in the unit of the value; null: it can't be evaluated. */
  signed: number | null;
  nu: Line["nu"];
  /** Of the square of the whole uncertainty, 0 to 1; null where that is not known, or nothing. */
  share: number | null;
  instrument: boolean;
}

/**
 * partsOf are the errors of a value, the largest first. Lines of one source are
 * the same error: they add with their signs before anything is squared, as JCGM
 * 100:2008, 5.2.2, has it for what is fully correlated.
 */
export function partsOf(q: Pick<Worked, "lines">): Part[] {
  const groups: Line[][] = [];
  for (const line of q.lines) {
    const same = line.source === "" ? undefined : groups.find((g) => g[0]?.source === line.source);
    if (same) {
      same.push(line);
    } else {
      groups.push([line]);
    }
  }
  const parts = groups.map(together);
  const whole = parts.some((p) => p.signed === null) ? 0 : parts.reduce((sum, p) => sum + (p.signed ?? 0) ** 2, 0);
  const size = (p: Part) => (p.signed === null ? Infinity : Math.abs(p.signed));
  return parts.map((p) => ({ ...p, share: p.signed === null || whole === 0 ? null : p.signed ** 2 / whole })).sort((a, b) => size(b) - size(a));
}

function together(lines: Line[]): Part {
  const known = lines.every((l) => l.signed !== null);
  const [first] = lines;
  return {
    name: [...new Set(lines.map((l) => l.name))].join(" and "),
    signed: known ? lines.reduce((sum, l) => sum + (l.signed ?? 0), 0) : null,
    nu: first?.nu ?? "inf",
    share: null,
    instrument: lines.some((l) => l.instrument),
  };
}

/** sayFreedom writes degrees of freedom; very many are without end. */
export function sayFreedom(nu: number | string | null): string {
  return typeof nu !== "number" ? "∞" : nu >= 100 ? "over 100" : String(Math.floor(nu));
}

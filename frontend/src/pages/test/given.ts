/**
 * What was recorded and certified is kept as it was signed, whatever a later
 * release makes of it. These read it part by part; what is not there is empty.
 */

/** partOf goes down by names. */
export function partOf(v: unknown, ...names: string[]): unknown {
  let at = v;
  for (const name of names) {
    at = typeof at === "object" && at !== null && name in at ? (at as Record<string, unknown>)[name] : undefined;
  }
  return at;
}

export function textOf(v: unknown, ...names: string[]): string {
  const x = partOf(v, ...names);
  return typeof x === "string" || typeof x === "number" ? String(x) : "";
}

export function numberOf(v: unknown, ...names: string[]): number | null {
  const x = partOf(v, ...names);
  return typeof x === "number" ? x : null;
}

export function listOf(v: unknown, ...names: string[]): unknown[] {
  const x = partOf(v, ...names);
  return Array.isArray(x) ? x : [];
}

/** entriesOf are the names and values of a record. */
export function entriesOf(v: unknown, ...names: string[]): [string, unknown][] {
  const x = partOf(v, ...names);
  return typeof x === "object" && x !== null && !Array.isArray(x) ? Object.entries(x) : [];
}

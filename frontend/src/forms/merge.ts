/** The texts of a form, by field, exactly as typed. */
export type Texts<F extends string> = Record<F, string>;

/** What came of two people's texts for one thing. */
export interface Meeting<F extends string> {
  texts: Texts<F>;
  /** What only the other one changed: theirs stands in the texts now. */
  taken: F[];
  /** What both changed, each to something else: mine still stands. */
  both: F[];
}

/**
 * merge lets two people's texts meet, field by field, over the texts that both
 * began with. Where those are not known any more, whatever differs counts as
 * changed by both, so that nothing typed gives way unseen.
 */
export function merge<F extends string>(mine: Texts<F>, from: Texts<F> | null, theirs: Texts<F>): Meeting<F> {
  const met: Meeting<F> = { texts: { ...mine }, taken: [], both: [] };
  const same = (a: string | undefined, b: string | undefined) => (a ?? "").trim() === (b ?? "").trim();
  for (const field of Object.keys(theirs) as F[]) {
    if (same(mine[field], theirs[field]) || (from && same(theirs[field], from[field]))) {
      continue;
    }
    if (from && same(mine[field], from[field])) {
      met.texts[field] = theirs[field];
      met.taken.push(field);
    } else {
      met.both.push(field);
    }
  }
  return met;
}

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
 * changed by both, so that nothing typed gives way unseen. Lists are texts with
 * a number in their names and a count ("uses-0-kind", "uses-count"): they meet
 * field by field as long as no entry came or went.
 */
export function merge<F extends string>(mine: Texts<F>, from: Texts<F> | null, theirs: Texts<F>): Meeting<F> {
  const met: Meeting<F> = { texts: { ...mine }, taken: [], both: [] };
  const shifted = from ? shiftedLists(mine, from, theirs) : [];
  for (const field of Object.keys(theirs) as F[]) {
    const list = shifted.find((name) => field.startsWith(`${name}-`));
    if (list !== undefined) {
      continue; // goes with its list, below
    }
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
  for (const name of shifted) {
    keepWhole(name, met, mine, theirs);
  }
  return met;
}

const same = (a: string | undefined, b: string | undefined) => (a ?? "").trim() === (b ?? "").trim();

/** countOf is the text that says how many entries the list of that name has. */
const countOf = <F extends string>(name: string, texts: Texts<F>): string | undefined => texts[`${name}-count` as F];

/**
 * shiftedLists names the lists that both changed, one of them by an entry more
 * or less: a place in such a list is not the same entry to both.
 */
function shiftedLists<F extends string>(mine: Texts<F>, from: Texts<F>, theirs: Texts<F>): string[] {
  const fields = [...new Set([...Object.keys(mine), ...Object.keys(from), ...Object.keys(theirs)])] as F[];
  return fields.flatMap((field) => {
    const name = field.endsWith("-count") ? field.slice(0, -"-count".length) : "";
    const own = fields.filter((f) => f.startsWith(`${name}-`));
    const changed = (texts: Texts<F>) => own.some((f) => !same(texts[f], from[f]));
    const moved = !same(countOf(name, mine), countOf(name, from)) || !same(countOf(name, theirs), countOf(name, from));
    const hasPlaces = own.some((f) => /^\d+-/.test(f.slice(name.length + 1))); // "riser-count" is a figure of its own
    return hasPlaces && moved && changed(mine) && changed(theirs) ? [name] : [];
  });
}

/** keepWhole keeps my list as it stands; its count stands for it among what both changed. */
function keepWhole<F extends string>(name: string, met: Meeting<F>, mine: Texts<F>, theirs: Texts<F>): void {
  const count = `${name}-count` as F;
  const differs = Object.keys({ ...mine, ...theirs }).some((f) => f.startsWith(`${name}-`) && !same(mine[f as F], theirs[f as F]));
  if (differs) {
    met.both.push(count);
  }
}

import type { Schema } from "../../api/client";
import type { Difference } from "../../parts/Diff/Diff";
import { choiceWords, labelOf, nameOf, toleranceLabel, toleranceName, type CalcField, type SheetTexts } from "./fields";

/** What somebody else saved while this person typed. */
export interface Newer {
  by: string;
  texts: SheetTexts;
  taken: string[];
  both: string[];
  news: string;
}

/** namesOf is what each text of a sheet is called; the first of several fields with one name counts. */
function namesOf(fields: CalcField[]): Map<string, string> {
  const names = new Map([
    ["gauging", "Gauging that the flow is from"],
    ["trompe", "Whether the trompe is on the sheet"],
    ["uses-count", "How many uses, and with it all of them"],
    ["parts-count", "How many parts, and with it all of them"],
  ]);
  for (const f of fields) {
    names.set(nameOf(f.at), names.get(nameOf(f.at)) ?? labelOf(f));
    names.set(toleranceName(f.at), toleranceLabel(f));
  }
  return names;
}

const say = (field: string, text: string) => (text === "" ? "" : field === "gauging" ? `no. ${text}` : (choiceWords[text] ?? text));

/** rowsOf lists what both changed and is still not the same. */
export function rowsOf(fields: CalcField[], newer: Newer, mine: SheetTexts): Difference<string>[] {
  const names = namesOf(fields);
  return newer.both
    .map((field) => ({ field, name: names.get(field) ?? field, mine: say(field, mine[field] ?? ""), theirs: say(field, newer.texts[field] ?? "") }))
    .filter((r) => r.mine.trim() !== r.theirs.trim());
}

/** takenOf says what only the other one changed. */
export function takenOf(fields: CalcField[], newer: Newer): string[] {
  const names = namesOf(fields);
  return newer.taken.map((field) => `${names.get(field) ?? field}: ${say(field, newer.texts[field] ?? "") || "empty"}`);
}

/** newsOf says when what is typed now belongs to another letter than before. */
export function newsOf(before: Schema<"Design">, now: Schema<"Design">): string {
  const { letter, started_by } = now.revision;
  return letter === before.revision.letter
    ? ""
    : `${started_by.name} has started letter ${letter}. Letter ${before.revision.letter} takes no more sheets: what you save now goes under ${letter}.`;
}

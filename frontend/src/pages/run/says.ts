import type { RunHead, RunList } from "./fetch";

/** The words for the state of a run, with its outcome once there is one. */
export function stateOf(r: RunHead): { word: string; danger: boolean } {
  if (r.state === "set_aside") {
    return { word: "set aside", danger: true };
  }
  if (r.outcome !== null) {
    return { word: `${outcomeWord(r.outcome)}${r.state === "confirmed" ? "" : ", not confirmed"}`, danger: r.outcome.startsWith("missed") };
  }
  return { word: r.state, danger: false };
}

/** outcomeWord is the word of a verdict. */
export const outcomeWord = (outcome: string) => outcome.replaceAll("_", " ");

/** sayRun says in one sentence how a run stands. */
export function sayRun(r: RunHead): string {
  const counted = `${r.point_count === 1 ? "one point" : `${r.point_count} points`}, ${r.reading_count === 1 ? "one reading" : `${r.reading_count} readings`}`;
  switch (r.state) {
    case "open":
      return r.reading_count === 0 ? "It is open, and nothing is read yet." : `It is open: ${counted} so far.`;
    case "submitted":
      return r.outcome === null ? `It is submitted with ${counted}. Its verdict is being worked out.` : `Its verdict stands, and waits for a steward who took no part in it to confirm it.`;
    case "confirmed":
      return `Confirmed by ${r.end?.by.name ?? "a steward"}, with ${counted}.`;
    case "set_aside":
      return `Set aside by ${r.end?.by.name ?? "a steward"}: “${r.end?.reason ?? ""}” It is kept and does not count.`;
  }
}

/** newestOf is the run that a machine's results are told by: the newest that was not set aside. */
export const newestOf = (list: Pick<RunList, "items">): RunHead | undefined => list.items.find((r) => r.state !== "set_aside") ?? list.items[0];

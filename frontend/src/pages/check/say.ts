import type { Schema } from "../../api/client";
import type { Member } from "../../api/session";
import { day, listed } from "../../words";
import type { Check } from "./fetch";

type Weight = Schema<"RemarkWeight">;

/** The weights, the heaviest first, with what each one does. */
export const weights: { weight: Weight; means: string }[] = [
  { weight: "stopper", means: "must not be built like this: nothing is cleared before it is laid to rest" },
  { weight: "query", means: "wants an answer: nothing is cleared before it is laid to rest" },
  { weight: "note", means: "worth knowing: it holds nothing up" },
];

const many: Record<Weight, string> = { stopper: "stoppers", query: "queries", note: "notes" };
const numbers = ["no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"];

const inWords = (n: number) => numbers[n] ?? String(n);
export const begin = (s: string) => `${s.charAt(0).toUpperCase()}${s.slice(1)}`;

/** quoted is what somebody said, as the end of a sentence. */
export const quoted = (text: string) => `“${text}”${/[.!?…]$/.test(text) ? "" : "."}`;

/** countWeights says how many there are of each weight, the heaviest first: "one stopper and two notes". */
export function countWeights(of: Record<Weight, number>): string {
  return listed(weights.filter(({ weight }) => of[weight] > 0).map(({ weight }) => `${inWords(of[weight])} ${of[weight] === 1 ? weight : many[weight]}`));
}

/** sayOpen says which remarks stand open; empty when none does. */
export function sayOpen({ stoppers, queries, notes }: Schema<"OpenRemarks">): string {
  const n = stoppers + queries + notes;
  return n === 0 ? "" : `${begin(countWeights({ stopper: stoppers, query: queries, note: notes }))} ${n === 1 ? "stands" : "stand"} open.`;
}

/** holds tells whether what stands open keeps a letter from being cleared. */
export const holds = ({ stoppers, queries }: Schema<"OpenRemarks">) => stoppers + queries > 0;

/** Those who said clear and still count. */
export const clears = (c: Check) => c.outcomes.filter((o) => o.outcome === "clear" && o.counts);

/** sayCheck says in a sentence or two how things stand with a letter. */
export function sayCheck(c: Check): string {
  const letter = `Letter ${c.letter}`;
  switch (c.state) {
    case "draft":
      if (c.sheet_count === 0) {
        return `${letter} is a draft without a sheet yet.`;
      }
      return c.lacks.length === 0 ? `${letter} is a draft, and nothing hinders giving it to be checked.` : `${letter} is a draft that can’t be issued as it stands.`;
    case "in_check":
      return sayClears(c);
    case "returned":
      return sayReturned(c);
    case "cleared":
      return `${letter} is cleared, by ${listed(clears(c).map((o) => o.who.name))}. It may be built as drawn.`;
    case "superseded":
      return `A later letter was cleared: nothing new is built from letter ${c.letter}.`;
    case "withdrawn":
      return `${letter} was withdrawn${c.end ? ` by ${c.end.who.name}: ${quoted(c.end.reason)}` : "."} It must not be built.`;
  }
}

function sayClears(c: Check): string {
  const need = c.issue?.checkers ?? 1;
  const have = clears(c).length;
  if (need === 1) {
    return have === 0 ? "One checker must say clear; none has yet." : "The one checker that it takes has said clear.";
  }
  return `${have === 0 ? "None" : begin(inWords(have))} of ${inWords(need)} checkers ${have < 2 ? "has" : "have"} said clear${have === 0 ? " yet" : ""}.`;
}

function sayReturned(c: Check): string {
  const returned = c.outcomes.find((o) => o.outcome === "return");
  if (returned) {
    return `${returned.who.name} returned letter ${c.letter}: ${quoted(returned.note)}`;
  }
  return c.end?.kind === "taken_back" ? `${c.end.who.name} took letter ${c.letter} back before anybody had said anything.` : `Letter ${c.letter} was left behind before it was issued.`;
}

/** sayDone says what the reader has just done to a letter. */
export function sayDone(c: Check, me: number): string {
  const mine = c.outcomes.find((o) => o.who.id === me);
  if (c.end?.who.id === me) {
    return c.end.kind === "withdrawn" ? "You withdrew it." : "You took it back.";
  }
  return mine ? `You said ${mine.outcome}, and it is signed.` : "";
}

/** whyNot says why a reader can't give an outcome; null when there is nothing to say one about. */
export function whyNot(c: Check, project: Schema<"Project">, me: Pick<Member, "id" | "roles">): string | null {
  const mine = c.outcomes.find((o) => o.who.id === me.id);
  if (c.state !== "in_check" || c.allowed_actions.includes("check_design")) {
    return null;
  }
  if (mine) {
    return `You said ${mine.outcome} on ${day(mine.at)}, and that stands. What else you find, leave as a remark.`;
  }
  if (project.closed_at !== null) {
    return "This project is closed. Its crew can reopen it.";
  }
  if (project.crew.some((p) => p.id === me.id)) {
    return "You are on the crew of this project, and nobody checks their own design: that takes other eyes.";
  }
  if (!me.roles.includes("checker")) {
    return "You may leave remarks. Saying clear or return takes the role of checker, which a keeper gives.";
  }
  return "You were on the crew of this project once, or saved a sheet of this design: that takes other eyes.";
}

/** shortDigest is enough of a digest to be read out and compared. */
export const shortDigest = (hex: string) => `${hex.slice(0, 4)} ${hex.slice(4, 8)} ${hex.slice(8, 12)} …`;

import type { Member } from "../../api/session";
import { withEnds } from "../../places";
import { unitNamed } from "../../units";
import { percent } from "../evidence/words";
import type { Lesson, Proposal, SetHead } from "./fetch";

const plain = unitNamed("number", "");

type Build = Lesson["builds"][number];
type Moved = Lesson["coefficients"][number];

/** The words for the state of a proposal. */
export function stateOf(p: Pick<SetHead, "state" | "in_force" | "adoption">): { word: string; danger: boolean } {
  const words: Record<SetHead["state"], string> = {
    working: "being worked out",
    failed: "not worked out",
    refused: "can’t be adopted",
    waiting: "waits for a steward",
    overtaken: "overtaken",
    adopted: `set ${p.adoption?.set ?? ""}${p.in_force ? ", in force" : ""}`,
  };
  return { word: words[p.state], danger: p.state === "failed" || p.state === "refused" };
}

/** sayState says in a sentence how a proposal stands. */
export function sayState(p: Pick<SetHead, "state" | "in_force" | "adoption" | "failure" | "current" | "evidence_changed">): string {
  switch (p.state) {
    case "working":
      return "What the runs say is being worked out. That takes from some seconds to half an hour. You can leave this page: it goes on.";
    case "failed":
      return `What the runs say could not be worked out: ${p.failure}`;
    case "refused":
      return "Something speaks against it, so nobody can adopt it. Propose another once more was measured.";
    case "waiting":
      return "Nothing speaks against it. It takes effect when a steward who did not propose it adopts it.";
    case "overtaken":
      return `It can’t be adopted any more: ${p.evidence_changed ? "one of its runs was set aside since" : "another set was adopted since, or the calculation is newer"}. To have it all the same, propose it again.`;
    case "adopted":
      return p.in_force ? "New predictions are made with it." : "New predictions are not made with it: another set is in force.";
  }
}

/** whoMay says who may adopt a proposal that waits, to somebody who may not. */
export function whoMay(p: Pick<Proposal, "by" | "lacks" | "allowed_actions">, me: Pick<Member, "id" | "roles">): string {
  if (p.lacks !== "" || p.allowed_actions.includes("adopt_set")) {
    return p.lacks;
  }
  if (me.id === p.by.id) {
    return "You proposed it, so somebody else adopts it: a steward.";
  }
  return me.roles.includes("steward") ? "You alone took part in all the runs that it was learned from, so another steward adopts it." : "A steward of the group may adopt it. You are none.";
}

/** against lists what speaks against a proposal. */
export const against = (lesson: Lesson | null) => (lesson?.checks ?? []).filter((c) => !c.holds).map((c) => c.words);

/** teachesNothing tells whether a set would be as set 0 is. */
export const teachesNothing = (l: Lesson) => l.adoptable && l.coefficients.every((c) => c.not_informed);

/** What each condition is called. */
export const checkTitles: Record<Lesson["checks"][number]["code"], string> = {
  not_converged: "The coefficients settle",
  too_few_builds: "Enough machines",
  too_few_crews: "More than one crew",
  low_weight: "No machine is unlike all others",
  moved_far: "No coefficient moved too far",
  leave_one_out_worse: "Machines left out are predicted no worse",
  coverage_too_low: "The 95\u202F% interval holds for machines left out",
  nonlinear: "The model does not bend too much",
  out_of_range: "Every coefficient is possible",
};

/** spread writes a coefficient with the ends of its 95 % interval. */
export const spread = (s: Moved["before"]) => withEnds(s.middle, s, plain);

/** sayMoved says how a coefficient moved, and what of it is known. */
export function sayMoved(c: Moved): string {
  if (c.not_informed) {
    return "The machines say next to nothing of it.";
  }
  const shift = Math.abs(c.shift) < 0.05 ? "It stayed where it was" : `It moved ${c.shift > 0 ? "up" : "down"} by ${Math.abs(c.shift).toFixed(1)} of the standard deviations of set 0`;
  const far = c.moved_far ? ", which is far" : "";
  const known = c.known_with ? ` Only in combination with ${c.known_with} is it known.` : "";
  return `${shift}${far}; the machines took away ${percent(c.removed)} of its variance.${known}`;
}

/** score writes the score of a prediction; less is better. */
export const score = (crps: number | null) => (crps === null ? "–" : `${(100 * crps).toFixed(2)}\u202F%`);

/** weightWords is the weight of a machine, with a word where it deserves a look. */
export function weightWords(b: Build): string {
  if (b.skipped) {
    return "left out: the model gives it no number";
  }
  return b.weight === null ? "–" : `${b.weight.toFixed(2)}${b.weight < 0.5 ? ", unlike the others: have a look at it" : ""}`;
}

/** inside says whether all values of a machine lay within the 95 %. */
export const inside = (yes: boolean | null) => (yes === null ? "–" : yes ? "inside" : "outside");

/** besides are the words of a lesson that no table of the page has. */
export function besides(l: Lesson): string[] {
  const told = new Set(l.checks.map((c) => c.words));
  return l.words.filter((w) => !told.has(w) && !l.coefficients.some((c) => w.startsWith(`${c.about}: `)));
}

/** sayRuns counts what a proposal is learned from. */
export function sayRuns(p: Pick<SetHead, "runs">): string {
  const machines = new Set(p.runs.map((r) => r.build)).size;
  return `${p.runs.length === 1 ? "one run" : `${p.runs.length} runs`} of ${machines === 1 ? "one machine" : `${machines} machines`}`;
}

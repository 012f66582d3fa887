import type { Schema } from "../../api/client";
import type { Pair, Ranged } from "../../parts/PredictedMeasured/PredictedMeasured";
import type { Units } from "../../system";
import { unitNamed, type Unit } from "../../units";
import { listed } from "../../words";
import { tagName } from "../build/states";
import { runPath } from "../run/fetch";
import { shownIn } from "../run/measure";
import type { Evidence, EvidenceRun, Group, Point, Quantity } from "./fetch";

type Coverage = Schema<"Coverage">;
type Why = Point["why"][number];

/** What the quantities are called, with what they are kept in. */
const quantities: Record<Quantity["name"], { title: string; unit: string }> = {
  delivery_pressure_pa: { title: "Delivery pressure", unit: "Pa" },
  highest_pressure_pa: { title: "Highest pressure", unit: "Pa" },
  free_air_m3s: { title: "Free air delivered", unit: "m³/s" },
  water_flow_m3s: { title: "Water flow", unit: "m³/s" },
  efficiency: { title: "Efficiency", unit: "" },
};

export const titleOf = (name: Quantity["name"]) => quantities[name].title;

/** headingOf says besides what a pressure counts from. */
export const headingOf = (name: Quantity["name"]) => `${titleOf(name)}${quantities[name].unit === "Pa" ? ", gauge" : ""}`;

/** Several machines of a kind. */
const kinds: Record<string, string> = {
  trompe: "Trompes",
  ram: "Rams",
  lift: "Trompes that a ram lifts water to",
  pulse: "Trompes whose air the pulses of a ram boost",
};

export const kindTitle = (kind: string) => kinds[kind] ?? kind;

export const count = (n: number, one: string, many: string) => (n === 1 ? `1 ${one}` : `${n} ${many}`);

/** Why a value says nothing of its prediction. */
const whys: Record<Why, string> = {
  hindsight: "not everything that the prediction hangs on was fixed before it was measured",
  set_aside: "its run was set aside",
  incomplete: "a prediction, or how far the reading may be off, is lacking",
  unsteady: "it was not steady, or read over too short a time",
  another_record: "another value of this machine counts",
};

/** because says why a value does not count; nothing for one that does. */
export function because(why: readonly Why[]): string {
  return why.map((w) => whys[w]).join("; ");
}

const inside95 = 1.96; // standard uncertainties: half the 95 % interval, as of a normal distribution

/**
 * predictedRange is a prediction with its 95 % interval; null without one. Where a
 * limit was declared instead, the interval comes from the standard uncertainty:
 * a declared limit is no interval.
 */
export function predictedRange(p: Point): Ranged | null {
  if (p.predicted === null) {
    return null;
  }
  if (!p.declared) {
    return p.low === null || p.high === null ? null : { value: p.predicted, low: p.low, high: p.high };
  }
  const half = p.u_predicted === null ? null : inside95 * p.u_predicted;
  return half === null ? null : { value: p.predicted, low: p.predicted - half, high: p.predicted + half };
}

function measuredRange(p: Point): Ranged | null {
  return p.y === null || p.expanded === null ? null : { value: p.y, low: p.y - p.expanded, high: p.y + p.expanded };
}

/** pairOf is a value as it is drawn; null where it lacks something to draw it by. */
export function pairOf(p: Point, run: EvidenceRun): Pair | null {
  const [predicted, measured] = [predictedRange(p), measuredRange(p)];
  if (!predicted || !measured) {
    return null;
  }
  const declared = p.declared ? "a limit was declared for it; the arm is the prediction’s own uncertainty" : "";
  const said = [because(p.why.filter((w) => w !== "set_aside")), declared].filter(Boolean).join("; ");
  return {
    id: `${p.run}-${p.item}`,
    tag: tagName(run.tag),
    title: `${run.machine}, run ${run.number}, point ${p.point + 1}`,
    href: runPath(atOf(run)),
    ...{ predicted, measured },
    counts: p.counted ? "counted" : p.why.includes("set_aside") ? "set aside" : "not counted",
    ...(said ? { because: said } : {}),
  };
}

/** atOf is where the page of a run is. */
const atOf = (r: EvidenceRun) => ({ project: r.project, build: r.build, run: r.number });

export const pathOf = (r: EvidenceRun) => runPath(atOf(r));

/** Values that can't be drawn, for one reason. */
export interface Left {
  why: string;
  values: { point: Point; run: EvidenceRun }[];
}

/** pairsOf parts the values of a quantity into those that can be drawn and those that can't, by the reason why. */
export function pairsOf(q: Quantity, runs: readonly EvidenceRun[], kind = ""): { pairs: Pair[]; left: Left[] } {
  const pairs: Pair[] = [];
  const left = new Map<string, Left>();
  for (const point of q.points) {
    const run = runs[point.run];
    if (!run || (kind !== "" && point.kind !== kind)) {
      continue;
    }
    const pair = pairOf(point, run);
    if (pair) {
      pairs.push(pair);
      continue;
    }
    const why = because(point.why) || "how far it may be off is lacking";
    const same = left.get(why) ?? { why, values: [] };
    same.values.push({ point, run });
    left.set(why, same);
  }
  return { pairs, left: [...left.values()] };
}

/** unitOf is the unit that all values of a quantity are written in. */
export function unitOf(q: Quantity, pairs: readonly Pair[], units: Units): Unit {
  const greatest = Math.max(0, ...pairs.flatMap((p) => [p.predicted.value, p.measured.value]));
  const { title, unit } = quantities[q.name];
  return q.name === "efficiency" ? unitNamed("number", "%") : shownIn({ name: q.name, title: title.toLowerCase(), unit }, greatest, units);
}

/** percent writes a share to the whole percent, and never one that is not all, or not nothing, as if it were. */
export function percent(share: number): string {
  const p = Number((100 * share).toFixed(6)); // the last digit of a float is no part of the share
  const text = p > 0 && p < 1 ? "under 1" : p < 100 && p > 99 ? "over 99" : String(Math.round(p));
  return `${text}\u202F%`;
}

/** sayCoverage says what a number of machines inside tells of the intervals, and not more. */
export function sayCoverage(c: Coverage, level: number): string {
  if (c.consistent) {
    return `It agrees, as far as ${count(c.n, "machine", "machines")} can tell.`;
  }
  return c.upper < level ? "Too few: the intervals are too narrow, or lie to one side of what is measured." : "More than said: the intervals are wider than they need be, or these machines err alike.";
}

const surer = 20; // times: a prediction so much surer than its measurement is hardly tried by it (judgement)

/** sayUntried says where the predictions claim to be so sure that no measurement could have shown them wrong by a little. */
export function sayUntried(points: readonly Point[]): string {
  const counted = points.filter((p) => p.counted);
  const untried = (p: Point) => p.u_predicted !== null && p.expanded !== null && surer * inside95 * p.u_predicted < p.expanded;
  if (counted.length === 0 || !counted.every(untried)) {
    return "";
  }
  return `These predictions are at least ${surer} times as sure as the measurements, as where a flow is set by hand. That they agree says that it was set well, and next to nothing of the model.`;
}

/** wordsOf are the words of a group without the sentence that the page says otherwise. */
export const wordsOf = (g: Pick<Group, "words">) => g.words.filter((w) => !/^\d+ kept, \d+ set aside\.$/.test(w));

/** leadOf is the sentence that says how the values came out as a whole; null while there are too few to say. */
export const leadOf = (words: readonly string[]) => words.find((w) => w.includes(" come out ")) ?? null;

/** A run with how it counts. */
export interface Standing {
  run: EvidenceRun;
  /** The quantities of which a value of it counts. */
  of: Quantity["name"][];
  /** Why it does not count, in sentences. */
  why: string[];
}

/** standings parts the runs: those that count, those that were set aside, and the rest. */
export function standings(e: Pick<Evidence, "runs" | "quantities">): { counted: Standing[]; aside: Standing[]; not: Standing[] } {
  const all = e.runs.map((run, at): Standing => {
    const points = e.quantities.flatMap((q) => q.points.filter((p) => p.run === at).map((p) => ({ ...p, name: q.name })));
    const of = [...new Set(points.filter((p) => p.counted).map((p) => p.name))];
    return { run, of, why: of.length > 0 ? [] : whyNot(run, points) };
  });
  return {
    counted: all.filter((s) => s.of.length > 0),
    aside: all.filter((s) => s.run.state === "set_aside"),
    not: all.filter((s) => s.of.length === 0 && s.run.state !== "set_aside"),
  };
}

function whyNot(run: EvidenceRun, points: readonly Point[]): string[] {
  const marks = run.marks.filter((m) => m.code === "not_counted" || m.code === "hindsight").map((m) => m.text);
  if (marks.length > 0) {
    return marks;
  }
  if (points.length === 0) {
    return ["Nothing that is predicted with an interval was measured in it."];
  }
  return [...new Set(points.flatMap((p) => p.why))].map((w) => `${whys[w].charAt(0).toUpperCase()}${whys[w].slice(1)}.`);
}

/** saySets says with which sets the runs that count were predicted: they are not all of one. */
export function saySets(counted: readonly Standing[]): string {
  const sets = [...new Set(counted.map((s) => s.run.coefficient_set))].sort((a, b) => Number(a) - Number(b));
  const n = (set: string) => counted.filter((s) => s.run.coefficient_set === set).length;
  if (sets.length === 1) {
    return `All of them were predicted with set ${sets[0] ?? ""}.`;
  }
  return `They were predicted with several sets: ${listed(sets.map((s) => `${n(s)} with set ${s}`))}. What is said below is of all of them together.`;
}

/** sayChanged says which sets were learned from a run that was set aside since. */
export function sayChanged(e: Pick<Evidence, "changed_sets" | "coefficient_set">): string {
  if (e.changed_sets.length === 0) {
    return "";
  }
  const one = e.changed_sets.length === 1;
  const inForce = e.changed_sets.includes(e.coefficient_set);
  return `${one ? "Set" : "Sets"} ${listed(e.changed_sets)} ${one ? "was" : "were"} learned from a run that was set aside since.${inForce ? ` Set ${e.coefficient_set} stays in force until another is adopted: propose one, which is learned without that run.` : ""}`;
}

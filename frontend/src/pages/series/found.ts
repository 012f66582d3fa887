/** What the reader found in a file, in words. */
import { timeText } from "../../parts/SeriesChart/span";
import type { Units } from "../../system";
import { figures } from "../../units";
import { when } from "../../words";
import type { ChannelFact, ChannelSummary, Column, Report, Sent } from "./fetch";
import { scaleOf } from "./scale";

const many = (n: number, one: string, more = `${one}s`) => `${figures(n, 12)} ${n === 1 ? one : more}`;

/** sayFile says what a file is: how long, how often, how its numbers are written. */
export function sayFile(r: Report): string {
  const step = r.median_step_s > 0 ? `, usually one every ${timeText(r.median_step_s, 0.001)}` : "";
  const comma = r.decimal_comma ? "Its numbers have a decimal comma" : "Its numbers have a decimal point";
  const parted: Record<string, string> = { ",": "commas", ";": "semicolons", "\t": "tabs" };
  return `${many(r.rows, "row")} over ${timeText(r.duration_s, r.duration_s < 60 ? 0.001 : 1)}${step}. ${comma}, its columns are parted by ${parted[r.separator] ?? r.separator}.`;
}

/** oddOf lists what was odd about the times of a file; empty where nothing was. */
export function oddOf(r: Report): string[] {
  const odd = [
    r.out_of_order > 0 ? `The clock went backwards ${many(r.out_of_order, "time")}, first in line ${r.first_out_of_order}. The rows were put in order by their times. If the clock was set meanwhile, the times before it may be wrong.` : "",
    r.duplicates > 0 ? `${many(r.duplicates, "row has", "rows have")} the same time as another. Of each the first counts.` : "",
    r.untimed > 0 ? `${many(r.untimed, "row has", "rows have")} no time that can be read, first line ${r.first_untimed}. They were left out.` : "",
    r.broken_off > 0 ? `Line ${r.broken_off} is broken off, as when the logger lost its power. It was left out.` : "",
    r.longest_gap.length_s > 2.001 * r.median_step_s && r.rows > 2 ? `The logger paused: the longest gap is ${timeText(r.longest_gap.length_s, 0.1)}, after ${timeText(r.longest_gap.after_s, 0.1)}. Nothing is drawn or counted across it.` : "",
    r.uneven ? "The rows are not evenly apart, so means of equal times are taken before anything is said of them." : "",
  ];
  return odd.filter(Boolean);
}

/** sayChannel says in which unit a channel came. */
export function sayChannel(c: Pick<Column, "kind" | "counted" | "file_unit">): string {
  const counted = c.counted === "" && c.kind === "pressure" ? ", its unit does not say what it counts from" : c.counted === "" ? "" : `, ${c.counted}`;
  return `${c.file_unit === "1" ? "a plain number" : `in ${c.file_unit}`}${counted}`;
}

/** oddOfChannel lists what was odd about a channel. */
export function oddOfChannel(c: ChannelFact, r: Pick<Report, "rows">, units: Units): string[] {
  const odd: string[] = [];
  if (c.missing > 0) {
    odd.push(`${many(c.missing, "row of", "rows of")} ${figures(r.rows, 12)} ${c.missing === 1 ? "has" : "have"} no number here: NaN, an empty cell or words. ${c.missing === r.rows ? "Nothing can be said of it." : "They count as missing."}`);
  }
  const [first, ...more] = c.stuck;
  if (first) {
    const value = scaleOf(c.unit, first.value, units).write(first.value);
    odd.push(`It stuck at ${value} from ${timeText(first.from_s, 0.1)} to ${timeText(first.to_s, 0.1)}${more.length > 0 ? `, and ${many(more.length, "more time")}` : ""}, while the values beside it vary. Look at the sensor and its line.`);
  }
  return odd;
}

/** saySent says from when to when the values of a logger are. */
export function saySent(l: Pick<Sent, "channels">): string {
  const times = (end: "first" | "last") => l.channels.flatMap((c) => c[end] ?? []).sort();
  const [first, last] = [times("first")[0], times("last").at(-1)];
  return first === undefined || last === undefined ? "" : `, ${when(first)} to ${when(last)}`;
}

/** sayLeftOut says how much of what a logger sent enters no result; empty where all does. */
export function sayLeftOut(l: Pick<Sent, "samples" | "channels">): string {
  const left = l.samples - l.channels.reduce((n, c) => n + c.count, 0);
  if (left <= 0) {
    return "";
  }
  const why = "no value, a unit that is not known here or another than before, or the time of one that came earlier";
  return `${figures(left, 12)} of ${many(l.samples, "sample")} ${left === 1 ? "enters" : "enter"} no result: ${left === 1 ? "it has" : "they have"} ${why}.`;
}

/** saySteady says whether a channel, or a window, can be taken for steady. */
export function saySteady({ status, reason }: Pick<ChannelSummary, "status" | "reason">): string {
  if (status === "steady") {
    return "Steady.";
  }
  const why: Record<ChannelSummary["reason"], string> = {
    "": status === "undecided" ? "Not clear whether it is steady: a longer part is needed." : "Not steady.",
    too_short: "Too short to tell whether it is steady: choose a longer part.",
    still_settling: "Still settling: begin later, or let it run longer.",
    drifting: "It drifts: it is not steady here.",
    run_longer: "Not clear whether it is steady: a longer part is needed.",
  };
  return why[reason];
}

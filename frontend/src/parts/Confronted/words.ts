import { among, between, finest, withEnds } from "../../places";
import { figures, fromBase, show, withUnit } from "../../units";
import type { Confrontation, Outcome } from "./Confronted";

/** The outcome as it is stamped. */
export const stamped: Record<Outcome, string> = { met: "met", missed_high: "missed high", missed_low: "missed low", undecided: "undecided" };

/** promisedText says the promise in short: both ends, or the one there is. */
export function promisedText({ promised, unit }: Confrontation): string {
  const number = (v: number) => figures(fromBase(v, unit), 3);
  const { low = null, high = null } = promised ?? {};
  if (low !== null && high !== null) {
    return `promised ${between(low, high, unit)}`;
  }
  if (low !== null) {
    return `promised at least ${withUnit(number(low), unit)}`;
  }
  return high !== null ? `promised at most ${withUnit(number(high), unit)}` : "nothing was promised";
}

/** measuredText says what was measured, with its interval. */
export function measuredText({ measured, unit }: Confrontation): string {
  return measured ? `measured ${withEnds(measured.value, measured, unit, finest)}` : "not measured";
}

/** predictedText writes the middle as finely as the promise about it. */
function predictedText(predicted: number, { promised, unit }: Confrontation): string {
  const { low = null, high = null } = promised ?? {};
  return low === null || high === null ? show(predicted, unit, 3) : among(predicted, low, high, unit);
}

/** rowText says a row in one sentence, for those who can't see it and for who wants the numbers. */
export function rowText(row: Confrontation): string {
  const middle = row.predicted === null ? "" : `, predicted ${predictedText(row.predicted, row)}`;
  const unknown = row.measured && row.measured.low === row.measured.high ? ", how far it may be off is not known" : "";
  const text = `${promisedText(row)}${middle}; ${measuredText(row)}${unknown}.`;
  return text.charAt(0).toUpperCase() + text.slice(1);
}

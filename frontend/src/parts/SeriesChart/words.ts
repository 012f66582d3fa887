import { show, type Unit } from "../../units";
import { holds, lengthOf, overlap, stepFor, timeText, type Span } from "./span";
import { summaryOf, type Point } from "./trace";

/** A mean that the server worked out from all samples of a span. */
export interface Mean extends Span {
  value: number;
}

interface Said {
  name: string;
  unit: Unit;
  points: readonly Point[];
  extent: Span;
  mean?: Mean | null;
}

/** shownText says in words which part of a record is shown and what is in it. */
export function shownText({ name, unit, points, extent, mean }: Said, span: Span): string {
  const step = stepFor(lengthOf(span));
  const whole = lengthOf(span) >= lengthOf(extent);
  const where = `${timeText(span.from, step)} to ${timeText(span.to, step)}${whole ? ", the whole record" : ` of ${timeText(lengthOf(extent))}`}`;
  const found = summaryOf(points, span);
  if (!found) {
    return `${name}, ${where}: no data.`;
  }
  const exact = mean && near(mean, span) ? `mean ${show(mean.value, unit)}` : `mean about ${show(found.mean, unit)}`;
  return `${name}, ${where}: ${exact}, least ${show(found.least, unit)}, greatest ${show(found.greatest, unit)}.`;
}

/** near says whether a mean is that of the span shown, to a thousandth of it. */
function near(mean: Mean, span: Span): boolean {
  const slack = lengthOf(span) / 1000;
  return Math.abs(mean.from - span.from) <= slack && Math.abs(mean.to - span.to) <= slack;
}

interface Marked {
  cutTo?: number | null;
  steady?: Span | null;
  outliers: readonly (readonly [t: number, value: number])[];
  gaps: readonly Span[];
}

/** markedText says in words what is marked on a record, whether or not it is in sight. */
export function markedText({ cutTo, steady, outliers, gaps }: Marked, unit: Unit, standOut = 0): string {
  const ringed = standOut > outliers.length ? `${standOut} outliers, the first ${outliers.length} ringed` : `${counted(outliers.length, "outlier")}, ringed`;
  const said = [
    cutTo ? `The start, up to ${timeText(cutTo)}, is not counted.` : "",
    steady ? `Steady from ${timeText(steady.from)} to ${timeText(steady.to)}.` : "",
    outliers.length > 0 ? `${ringed}: ${listOf(outliers.map(([t, v]) => `${show(v, unit)} at ${timeText(t)}`))}.` : "",
    gaps.length > 0 ? `${counted(gaps.length, "gap")}: ${listOf(gaps.map((g) => `${timeText(g.from)} to ${timeText(g.to)}`))}.` : "",
  ];
  return said.filter(Boolean).join(" ");
}

const counted = (n: number, what: string) => `${n} ${what}${n === 1 ? "" : "s"}`;

const most = 5; // more are in the table's parts anyway

function listOf(texts: string[]): string {
  return texts.length > most ? `${texts.slice(0, most).join("; ")}; and ${texts.length - most} more` : texts.join("; ");
}

/** A line of the table beside the picture. */
export interface Line {
  span: Span;
  found: ReturnType<typeof summaryOf>;
  marks: string;
}

const lines = 10;

/** linesOf divides what is shown into ten parts, with what is in each. */
export function linesOf(points: readonly Point[], span: Span, { cutTo, steady, outliers, gaps }: Marked): Line[] {
  const each = lengthOf(span) / lines;
  return Array.from({ length: lines }, (_, i) => {
    const part = { from: span.from + i * each, to: i === lines - 1 ? span.to : span.from + (i + 1) * each };
    const inside = outliers.filter(([t]) => holds(part, t)).length;
    const marks = [
      cutTo && part.from < cutTo ? "start, not counted" : "",
      steady && overlap(part, steady) ? "steady" : "",
      inside > 0 ? counted(inside, "outlier") : "",
      gaps.some((g) => overlap(g, part)) ? "gap" : "",
    ];
    return { span: part, found: summaryOf(points, part), marks: marks.filter(Boolean).join(", ") };
  });
}

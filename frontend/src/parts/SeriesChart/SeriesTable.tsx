import { show, type Unit } from "../../units";
import { lengthOf, stepFor, timeText, type Span } from "./span";
import type { Point } from "./trace";
import { linesOf } from "./words";

interface SeriesTableProps {
  points: readonly Point[];
  span: Span;
  marked: Parameters<typeof linesOf>[2];
  unit: Unit;
}

/** SeriesTable has what is shown in ten parts of equal length. */
export function SeriesTable({ points, span, marked, unit }: SeriesTableProps) {
  const step = stepFor(lengthOf(span));
  const number = (value: number | undefined) => (value === undefined ? "none" : show(value, unit));
  return (
    <table>
      <thead>
        <tr>
          <th scope="col">from</th>
          <th scope="col">least</th>
          <th scope="col">mean, about</th>
          <th scope="col">greatest</th>
          <th scope="col">marked</th>
        </tr>
      </thead>
      <tbody>
        {linesOf(points, span, marked).map(({ span: part, found, marks }) => (
          <tr key={part.from}>
            <th scope="row">{timeText(part.from, step)}</th>
            <td>{number(found?.least)}</td>
            <td>{number(found?.mean)}</td>
            <td>{number(found?.greatest)}</td>
            <td>{marks || "nothing"}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

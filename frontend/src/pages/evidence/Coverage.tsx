import { Ledger } from "../../parts/Ledger/Ledger";
import type { Group } from "./fetch";
import { percent, sayCoverage } from "./words";

const levels = [
  ["0.5", 0.5],
  ["0.8", 0.8],
  ["0.95", 0.95],
] as const;

/** CoverageTable says how often the intervals of three levels held, each with what so few machines can tell. */
export function CoverageTable({ of }: { of: Group }) {
  const coverage = of.calibration.coverage;
  if (!coverage) {
    return <p>How often the predicted intervals held is said from three machines on.</p>;
  }
  return (
    <Ledger>
      <table>
        <thead>
          <tr>
            <th scope="col">Interval</th>
            <th scope="col">Inside</th>
            <th scope="col">So it holds for</th>
            <th scope="col">That says</th>
          </tr>
        </thead>
        <tbody>
          {levels.map(([at, level]) => {
            const c = coverage[at];
            return (
              <tr key={at}>
                <th scope="row">{percent(level)}</th>
                <td data-of="Inside">
                  {c.k} of {c.n}
                </td>
                <td data-of="So it holds for">
                  {percent(c.lower)} to {percent(c.upper)}
                </td>
                <td data-of="That says">{sayCoverage(c, level)}</td>
              </tr>
            );
          })}
        </tbody>
      </table>
    </Ledger>
  );
}

import type { Units } from "../../system";
import { figures } from "../../units";
import type { ChannelSummary } from "./fetch";
import { saySteady } from "./found";
import { scaleOf } from "./scale";

/** isOverrated tells whether s/√n would take the samples for more than they are worth: fewer than half of them are news. */
export const isOverrated = (m: { n: number; n_eff: number | null }): boolean => m.n_eff !== null && m.n_eff < m.n / 2;

/** Numbers are what a window says of a channel: its mean and how sure that is, and whether it drifts. */
export function Numbers({ of: c, units }: { of: ChannelSummary; units: Units }) {
  const { mean, without } = c;
  if (mean.mean === null) {
    return <p>No mean can be said of this part.</p>;
  }
  const scale = scaleOf(c.unit, mean.mean, units);
  const width = (v: number | null) => (v === null ? "not known" : scale.width(v));
  const rows: [string, preact.ComponentChildren][] = [
    ["Mean", <b key="m">{scale.write(mean.mean, 5)}</b>],
    [
      "Its standard uncertainty",
      <>
        {width(mean.u)}
        {mean.u_naive !== null && isOverrated(mean) ? (
          <span class="small quiet">
            {" "}
            <s aria-label={`not ${width(mean.u_naive)}`}>{width(mean.u_naive)}</s> would take every sample for news
          </span>
        ) : null}
      </>,
    ],
    ["Samples", `${figures(mean.n, 12)}${mean.n_eff === null ? "" : `, worth ${figures(mean.n_eff, 3)} that know nothing of each other`}`],
    ["One sample scatters by", width(mean.s)],
    ["Drift within it", c.drift === null ? "not known" : `${scale.width(c.drift)}, itself ± ${width(c.u_drift)}; ${c.tol === null ? "" : `${scale.width(c.tol)} is allowed`}`],
  ];
  if (c.outlier_count > 0) {
    rows.push(["Values that stand out", `${figures(c.outlier_count, 12)}${without?.mean == null ? "" : `; without them the mean is ${scale.write(without.mean, 5)}`}`]);
  }
  return (
    <div class="numbers">
      <p>
        <b>{saySteady(c)}</b>
      </p>
      <dl>
        {rows.map(([name, value]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ))}
      </dl>
    </div>
  );
}

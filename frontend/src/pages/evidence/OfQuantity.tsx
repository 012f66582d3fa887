import { Link } from "wouter-preact";
import { PairsTable, PredictedMeasured } from "../../parts/PredictedMeasured/PredictedMeasured";
import type { Units } from "../../system";
import { tagName } from "../build/states";
import { CoverageTable } from "./Coverage";
import type { EvidenceRun, Group, Quantity } from "./fetch";
import { count, headingOf, kindTitle, leadOf, pairsOf, pathOf, sayUntried, unitOf, wordsOf } from "./words";

interface OfProps {
  quantity: Quantity;
  runs: EvidenceRun[];
  units: Units;
}

/** OfQuantity is what was found of one quantity: all machines, then each kind where there are several. */
export function OfQuantity({ quantity: q, runs, units }: OfProps) {
  const title = headingOf(q.name);
  return (
    <section class="of-quantity" aria-labelledby={`of-${q.name}`}>
      <h2 id={`of-${q.name}`}>{title}</h2>
      {q.derived ? <p>It is worked out from the pressure, the air and the water above: no further evidence.</p> : null}
      <OfGroup quantity={q} group={q.all} kind="" name={title} runs={runs} units={units} />
      {q.kinds.map((k) => (
        <section key={k.kind} aria-label={`${title}: ${kindTitle(k.kind)}`}>
          <h3>{kindTitle(k.kind)} alone</h3>
          <OfGroup quantity={q} group={k} kind={k.kind} name={`${title}, ${kindTitle(k.kind).toLowerCase()}`} runs={runs} units={units} />
        </section>
      ))}
    </section>
  );
}

function OfGroup({ quantity: q, group: g, kind, name, runs, units }: OfProps & { group: Group; kind: string; name: string }) {
  const { pairs, left } = pairsOf(q, runs, kind);
  const unit = unitOf(q, pairs, units);
  const words = wordsOf(g);
  const lead = leadOf(words);
  const rest = words.filter((w) => w !== lead);
  const untried = sayUntried(q.points.filter((p) => kind === "" || p.kind === kind));
  return (
    <>
      {lead ? (
        <p class="lead">
          <b>{lead}</b>
        </p>
      ) : null}
      {pairs.length > 0 ? null : (
        <p>
          {g.kept === 0 ? "No machine counts yet." : `${count(g.kept, "machine counts", "machines count")}, one value each.`} {g.aside === 0 ? "No run that measured it was" : count(g.aside, "run that measured it was", "runs that measured it were")} set aside.
        </p>
      )}
      <div class="pictured">
        {pairs.length > 0 ? <PredictedMeasured name={name} unit={unit} pairs={pairs} /> : null}
        <div>
          <CoverageTable of={g} />
          {untried ? <p>{untried}</p> : null}
          {rest.map((w) => (
            <p key={w}>{w}</p>
          ))}
          {g.crps === null ? null : (
            <p class="small quiet">Score of the predictions: {(100 * g.crps).toPrecision(2)}&#8239;%.</p>
          )}
        </div>
      </div>
      {pairs.length > 0 ? <PairsTable pairs={pairs} unit={unit} /> : null}
      {left.map((l) => (
        <p key={l.why} class="left">
          {count(l.values.length, pairs.length > 0 ? "value more" : "value", pairs.length > 0 ? "values more" : "values")} can’t be drawn: {l.why}.{" "}
          {l.values.map(({ point: p, run }) => (
            <span key={`${p.run}-${p.item}`}>
              <Link href={pathOf(run)}>
                {tagName(run.tag)}, run {run.number}, point {p.point + 1}
              </Link>{" "}
            </span>
          ))}
        </p>
      ))}
    </>
  );
}

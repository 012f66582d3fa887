import { Confronted, type Confrontation } from "../../parts/Confronted/Confronted";
import { Stamp } from "../../parts/Stamp/Stamp";
import { useUnits, type Units } from "../../system";
import { when } from "../../words";
import type { Run } from "./fetch";
import { shownIn } from "./measure";
import { sayChance, verdictOf, worstFirst, type Item, type Verdict } from "./verdict";
import { outcomeWord } from "./says";
import { titleOf } from "./words";

/** Judged is what became of a submitted run: how far its verdict is, or the verdict. */
export function Judged({ run }: { run: Run }) {
  const { state, done, of, failure, verdict } = run.judgement;
  if (verdict) {
    return <VerdictView run={run} verdict={verdictOf(verdict.body)} frozen={verdict} />;
  }
  if (state === "failed") {
    return (
      <section class="warn" aria-label="Verdict">
        <p>
          <b>The verdict could not be worked out.</b> {failure} Nothing is lost: the run is frozen as it was submitted.
        </p>
      </section>
    );
  }
  return (
    <section class="judging" aria-label="Verdict">
      <h2>The verdict is being worked out</h2>
      <p>
        The machine is calculated thousands of times, with everything that is not known for sure drawn anew, at the conditions that were measured. It takes some minutes; this page may be left.
      </p>
      <label class="small" for="verdict-progress">
        {state === "waiting" || of === 0 ? "Others are worked out first." : `${many(done)} of ${many(of)} draws; more follow until two figures of the uncertainties stand`}
      </label>
      <progress id="verdict-progress" {...(of > 0 ? { max: of, value: done } : {})} />
    </section>
  );
}

const many = (n: number) => n.toLocaleString("en").replaceAll(",", "\u202F");

interface VerdictProps {
  run: Run;
  verdict: Verdict;
  frozen: NonNullable<Run["judgement"]["verdict"]>;
}

/** What is said of each thing that was met is said once: of the run as a whole, or below all of them. */
const isCaution = (words: string) => words.startsWith("Met does not say");

function cancelling(v: Verdict): string | null {
  return v.words.includes("several errors can cancel") ? null : (v.items.flatMap((i) => i.words).find(isCaution) ?? null);
}

const missed = (outcome: string) => outcome.startsWith("missed");

function VerdictView({ run, verdict: v, frozen }: VerdictProps) {
  const units = useUnits();
  return (
    <section class="verdict" aria-labelledby="verdict-title">
      <h2 id="verdict-title">Verdict</h2>
      <p class="loud">
        <Stamp word={outcomeWord(v.outcome)} danger={missed(v.outcome)} />
      </p>
      <p>{v.words}</p>
      {v.joint === null ? null : (
        <p class="small">
          All quantities together: a disagreement as large as this would come about by chance in {sayChance(v.joint)} runs, if the prediction held.
        </p>
      )}
      <Confronted rows={worstFirst(v.items).map((i) => rowOf(run, i, units))} />
      {cancelling(v) ? <p class="small">{cancelling(v)}</p> : null}
      {v.items.some((i) => i.promisedLittle) ? (
        <p class="small">
          <b>Promised little</b> means that the promise was wider than half of what was predicted: to keep it is no feat, and says little about the machine.
        </p>
      ) : null}
      {v.faults.length > 0 ? (
        <div class="warn">
          <p>
            <b>Nothing could be predicted</b> for these points:
          </p>
          <ul>
            {v.faults.map((f) => (
              <li key={f.point}>
                {pointName(run, f.point)}: {f.text}
              </li>
            ))}
          </ul>
        </div>
      ) : null}
      <Sentences title="How the points lie together" texts={v.patterns} />
      <Sentences title="What would explain it" texts={v.why} />
      {v.why.length > 0 ? <p class="small quiet">A pointer, not a finding: one run can’t tell causes apart that push the same way.</p> : null}
      <details class="fold">
        <summary>How it was worked out</summary>
        <p class="small">
          {v.draws} draws with set {v.set || run.coefficient_set} of the coefficients and version {v.calc} of the calculation, {when(frozen.at)}
          {v.failed > 0 ? `; in ${v.failed} of them the machine would not run` : ""}. {v.settled ? "Two figures of the uncertainties stand." : "The uncertainties had not settled to two figures when the draws ended."} Seed {frozen.seed.slice(0, 12)}, digest{" "}
          {frozen.digest.slice(0, 12)}. The same run gives the same verdict again.
        </p>
      </details>
    </section>
  );
}

function Sentences({ title, texts }: { title: string; texts: string[] }) {
  if (texts.length === 0) {
    return null;
  }
  return (
    <>
      <h3>{title}</h3>
      {texts.map((t) => (
        <p key={t}>{t}</p>
      ))}
    </>
  );
}

const pointName = (run: Run, index: number) => run.points[index]?.name ?? `point ${index + 1}`;

/** rowOf lays what was measured of an item beside what was promised of it. */
function rowOf(run: Run, i: Item, units: Units): Confrontation {
  const known = run.form.quantities.find((q) => q.name === i.name);
  const m = known ?? { name: i.name, title: i.name, unit: "" };
  const half = run.points[i.point]?.quantities.find((q) => q.name === i.name)?.expanded ?? 0;
  const largest = Math.max(...[i.y, i.predicted, i.high, i.low].map((v) => Math.abs(v ?? 0)));
  return {
    id: `${i.point} ${i.name}`,
    quantity: titleOf(m),
    name: `${pointName(run, i.point)}${i.declared ? ", against limits declared before" : ""}${i.required ? "" : " (not what the run is judged by)"}`,
    unit: shownIn(m, largest, units),
    promised: i.low === null && i.high === null ? null : { low: i.low, high: i.high },
    predicted: i.predicted,
    measured: i.y === null ? null : { value: i.y, low: i.y - half, high: i.y + half },
    outcome: isOutcome(i.outcome) ? i.outcome : "undecided",
    promisedLittle: i.promisedLittle,
    because: <Because item={i} />,
  };
}

const isOutcome = (o: string): o is Confrontation["outcome"] => o === "met" || o === "missed_high" || o === "missed_low" || o === "undecided";

function Because({ item: i }: { item: Item }) {
  return (
    <>
      {i.words.filter((w) => !isCaution(w)).map((w) => (
        <p key={w}>{w}</p>
      ))}
      {i.decides ? (
        <p>
          <b>What would decide it.</b> {i.decides}
        </p>
      ) : null}
    </>
  );
}

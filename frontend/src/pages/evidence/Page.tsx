import { Link } from "wouter-preact";
import { useLoad } from "../../api/load";
import { Elevation } from "../../parts/Art/Elevation";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";
import { useUnits } from "../../system";
import { fetchEvidence, type Evidence } from "./fetch";
import { OfQuantity } from "./OfQuantity";
import { Runs } from "./Runs";
import { count, sayChanged, saySets, standings, titleOf } from "./words";
import "./page.css";

/** The evidence is made of so many runs, the newest. */
const runs_most = 500;

/** EvidencePage is what the signed runs of the group say of its predictions. */
export default function EvidencePage() {
  const { loaded, again } = useLoad<Evidence>(fetchEvidence, []);
  return (
    <PageFrame title="Evidence">
      {loaded.state !== "here" ? <Waiting loaded={loaded} again={again} /> : loaded.data.runs.length === 0 ? <Nothing evidence={loaded.data} /> : <Here evidence={loaded.data} />}
    </PageFrame>
  );
}

function Nothing({ evidence: e }: { evidence: Evidence }) {
  return (
    <div class="nothing-yet">
      <Elevation thin />
      <div>
        <h2>Nothing is confirmed yet</h2>
        <p>
          Here what was measured is laid against what was predicted, for every machine of the group. It begins with one run: open it on the page of a machine that has its certificate, measure, submit it, and let a steward who took no part in it confirm it.
        </p>
        <p>Until then predictions are made with set {e.coefficient_set} of coefficients, which comes from handbooks and judgement.</p>
        <p class="row">
          <Link href="/projects" class="do">
            To the projects
          </Link>
          <Link href="/evidence/sets">The sets of coefficients</Link>
        </p>
      </div>
    </div>
  );
}

const none = (n: number) => (n === 0 ? "none" : n);

function Here({ evidence: e }: { evidence: Evidence }) {
  const units = useUnits();
  const { counted, aside, not } = standings(e);
  const changed = sayChanged(e);
  return (
    <div class="evidence">
      <p>
        How the predictions of the group came out. {counted.length === 0 ? "No run counts yet" : `${count(counted.length, "run counts", "runs count")}, of ${count(e.build_count, "machine", "machines")}`}; {none(aside.length)} {aside.length === 1 ? "was" : "were"} set aside, and {none(not.length)}{" "}
        {not.length === 1 ? "does" : "do"} not count for another reason. All are listed <a href="#runs">below</a>. {counted.length > 0 ? saySets(counted) : ""}
      </p>
      {e.runs.length >= runs_most ? <p>Only the newest {runs_most} runs are in it.</p> : null}
      <p>
        Predictions are made with set {e.coefficient_set} now. <Link href="/evidence/sets">The sets of coefficients, and how another is proposed</Link>
      </p>
      {changed ? <p class="warn">{changed}</p> : null}
      {e.quantities.length === 0 ? <p>In none of these runs was anything measured that had been predicted.</p> : null}
      <nav class="row on-page off-paper" aria-label="On this page">
        {e.quantities.map((q) => (
          <a key={q.name} href={`#of-${q.name}`}>
            {titleOf(q.name)}
          </a>
        ))}
        <a href="#runs">The runs</a>
        <a href="#reading">How to read this</a>
      </nav>
      {e.quantities.map((q) => (
        <OfQuantity key={q.name} quantity={q} runs={e.runs} units={units} />
      ))}
      <section class="of-quantity" aria-labelledby="runs">
        <h2 id="runs">The runs</h2>
        <Runs id="counted" title="Counted" about="Confirmed, and a value of theirs counts." list={counted} quantities={e.quantities.length} />
        <Runs id="aside" title="Set aside" about="A steward set them aside with a reason. They are kept and enter no number." list={aside} quantities={e.quantities.length} />
        <Runs id="not-counted" title="Not counted" about="Confirmed, but no value of theirs counts." list={not} quantities={e.quantities.length} />
      </section>
      {e.quantities.length > 0 ? <HowToRead /> : null}
    </div>
  );
}

function HowToRead() {
  return (
    <section class="of-quantity" aria-labelledby="reading">
      <h2 id="reading">How to read this</h2>
      <dl class="meanings">
        <dt>One value of each machine</dt>
        <dd>
          counts for a quantity, so that a machine which was measured often does not weigh more than others: the first at the point that its sheet draws, or else the first. Each is compared with what was predicted of the machine as it was built, for the conditions of that hour, by a set and a calculation that were fixed before it was measured. A value that
          was set aside or does not count is drawn, and enters no number.
        </dd>
        <dt>Intervals</dt>
        <dd>are of 95&#8239;% where nothing else is said: of twenty such, about one misses by chance even where all is well.</dd>
        <dt>Inside</dt>
        <dd>
          means that the measured value lies within the middle so many percent of what was predicted, the uncertainty of the measurement included. The share that it holds for is a 95&#8239;% interval (Wilson); it takes the machines as independent, which those of one crew
          or one drawing are not quite, nor those predicted with the same coefficients: what these miss, they miss for all machines alike.
        </dd>
        <dt>The score</dt>
        <dd>is the CRPS over the predicted value, the mean of the machines. Less is better; it says nothing alone, and is for comparing one set of coefficients with another.</dd>
      </dl>
    </section>
  );
}

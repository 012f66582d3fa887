import { Link } from "wouter-preact";
import { api, ask } from "../../api/client";
import { useFollowed } from "../../api/follow";
import { useSession } from "../../api/session";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Sign } from "../../parts/Sign/Sign";
import { Stamp } from "../../parts/Stamp/Stamp";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { Waiting } from "../../parts/Trouble/Waiting";
import { when } from "../../words";
import { runPath } from "../run/fetch";
import { fetchSetIfChanged, setsPath, type Proposal } from "./fetch";
import { Learned } from "./Learned";
import { against, sayRuns, sayState, stateOf, teachesNothing, whoMay } from "./words";
import "./page.css";

/** SetPage is a proposed set of coefficients in full, and where a steward adopts it. */
export default function SetPage({ number }: { number: number }) {
  const { data: p, trouble, cutSince, again, take } = useFollowed((stamp) => fetchSetIfChanged(number, stamp), [number]);
  const trail = [
    { href: "/evidence", name: "Evidence" },
    { href: setsPath, name: "Sets of coefficients" },
  ];
  return (
    <PageFrame title={`Proposal ${number}`} trail={trail} aside={p ? <Stamp {...stateOf(p)} /> : undefined}>
      {!p && trouble ? <TroubleNote trouble={trouble} again={again} /> : null}
      {!p && !trouble ? <Waiting loaded={{ state: "loading" }} again={again} /> : null}
      {p && cutSince ? <p class="warn">The notebook does not answer since {when(cutSince)}. What stands here is from before.</p> : null}
      {p ? <Here p={p} take={take} /> : null}
    </PageFrame>
  );
}

function Here({ p, take }: { p: Proposal; take: (p: Proposal) => void }) {
  const speaks = against(p.lesson);
  return (
    <div class="set">
      <p>
        Proposed by {p.by.name}, {when(p.at)}, from {sayRuns(p)}. It is compared with set {p.current}, which was in force then.
      </p>
      <p class="why">Why: {p.why}</p>
      <p role="status">
        <b>{sayState(p)}</b> {p.lesson && teachesNothing(p.lesson) ? "But the machines teach nothing: it is next to the same as set 0." : ""}
      </p>
      {speaks.length > 0 ? (
        <div class="warn">
          <p>
            <b>What speaks against it</b>
          </p>
          <ul>
            {speaks.map((w) => (
              <li key={w}>{w}</li>
            ))}
          </ul>
        </div>
      ) : null}
      {p.adoption ? (
        <p>
          Adopted as set {p.adoption.set} by {p.adoption.by.name}, {when(p.adoption.at)}. <Link href="/group/record">It is link {p.adoption.link} of the record</Link>.
        </p>
      ) : null}
      {p.evidence_changed && p.state === "adopted" ? <p class="warn">One of the runs that it was learned from was set aside since. It stays what it is; another one can be proposed without that run.</p> : null}
      {p.state === "waiting" ? <Adopt p={p} take={take} /> : null}
      {p.lesson ? <Learned lesson={p.lesson} /> : null}
      <TaughtRuns p={p} />
      {p.lesson ? (
        <details class="fold">
          <summary>How it was worked out</summary>
          <p class="small digests">
            Worked out {p.learned_at ? when(p.learned_at) : ""} by version {p.lesson.calc_version} of the calculation. The proposal is link {p.link} of the record.
          </p>
          <p class="small digests">Seed of the draws: {p.lesson.seed}</p>
          <p class="small digests">Digest (SHA-256) of what the runs say: {p.digest}</p>
        </details>
      ) : null}
    </div>
  );
}

function Adopt({ p, take }: { p: Proposal; take: (p: Proposal) => void }) {
  const session = useSession();
  if (!("member" in session)) {
    return null;
  }
  const may = p.allowed_actions.includes("adopt_set");
  return (
    <section class="off-paper" aria-labelledby="adopt-title">
      <h2 id="adopt-title">Adopt it</h2>
      <p>
        A steward does, who neither proposed it nor alone made its runs. From then on new predictions are made with it. What was saved keeps the numbers and the set that it was made with; what was issued is answered anew beside its own answer, so that all can see what
        differs.
      </p>
      {may ? (
        <Sign
          name={`set-${p.number}`}
          says="You adopt this set for the whole group, with your password. It stays on the record."
          me={session.member}
          passwordOnly
          word="Adopt it"
          sign={async (_, { password }) => {
            const a = await ask(api.POST("/api/v1/coefficient-sets/{proposal}/adopt", { params: { path: { proposal: p.number } }, body: { password } }));
            if (a.ok) {
              take(a.data);
            }
            return a;
          }}
        />
      ) : (
        <p class={p.lacks ? "warn" : undefined}>{whoMay(p, session.member)}</p>
      )}
    </section>
  );
}

function TaughtRuns({ p }: { p: Proposal }) {
  return (
    <section aria-labelledby="runs-title">
      <h2 id="runs-title">The runs that it is learned from</h2>
      <p>Confirmed runs of trompes as they stood when it was proposed, with all their points, of at most 40 machines: those confirmed last. Runs that were set aside, or whose verdict came in hindsight, are not among them.</p>
      <ul>
        {p.runs.map((r) => (
          <li key={`${r.build}-${r.number}`}>
            <Link href={runPath({ project: r.project, build: r.build, run: r.number })}>
              {r.machine}, run {r.number}
            </Link>
            : {r.title}.{r.aside ? <b> It was set aside since.</b> : null}
          </li>
        ))}
      </ul>
    </section>
  );
}

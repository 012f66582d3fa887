import { useState } from "preact/hooks";
import { Link } from "wouter-preact";
import type { Answer } from "../../api/client";
import { useLoad } from "../../api/load";
import type { Trouble } from "../../api/problem";
import { useSession } from "../../api/session";
import { draftForms } from "../../forms/drafts";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Stamp } from "../../parts/Stamp/Stamp";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { Waiting } from "../../parts/Trouble/Waiting";
import { day } from "../../words";
import { buildPath, fetchBuild, type Build, type BuildAddress } from "../build/fetch";
import { tagName } from "../build/states";
import { trailOf } from "../test/fetch";
import { fetchRuns, runPath, type RunHead, type RunList } from "./fetch";
import { OpenRun } from "./OpenRun";
import { sayRun, stateOf } from "./says";
import "../test/page.css";
import "./page.css";

interface Both {
  build: Build;
  runs: RunList;
}

async function fetchBoth(at: BuildAddress): Promise<Answer<Both>> {
  const [build, runs] = await Promise.all([fetchBuild(at), fetchRuns(at)]);
  return !build.ok ? build : runs.ok ? { ...runs, data: { build: build.data, runs: runs.data } } : runs;
}

/** RunsPage lists the runs of a machine, and opens another one. */
export default function RunsPage(at: BuildAddress) {
  const { loaded, again } = useLoad<Both>(() => fetchBoth(at), [at.project, at.build]);
  const here = loaded.state === "here" ? loaded.data : null;
  return (
    <PageFrame title="Runs" trail={trailOf(at, here ? `${tagName(here.build.tag)}, ${here.build.title}` : undefined)} key={here ? "here" : "waiting"}>
      {here ? <Runs at={at} runs={here.runs} /> : <Waiting loaded={loaded} again={again} />}
    </PageFrame>
  );
}

function Runs({ at, runs }: { at: BuildAddress; runs: RunList }) {
  const session = useSession();
  const account = "member" in session ? session.member.id : 0;
  const [more, setMore] = useState<RunList[]>([]);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const items = [...runs.items, ...more.flatMap((m) => m.items)];
  const next = (more.at(-1) ?? runs).next;
  const may = runs.refused === "" && runs.allowed_actions.includes("open_run");
  const [opening, setOpening] = useState(items.length === 0 || draftForms(account).includes(`run-open-${at.build}`));
  const fetchMore = async (before: number) => {
    const a = await fetchRuns(at, before);
    setTrouble(a.ok ? null : a.trouble);
    if (a.ok) {
      setMore([...more, a.data]);
    }
  };
  return (
    <>
      <p>A run lays what is measured on the machine against what was predicted for it, and says whether the promise was kept.</p>
      {items.length > 0 ? (
        <ul class="designs runs">
          {items.map((r) => (
            <RunLine key={r.number} at={at} run={r} />
          ))}
        </ul>
      ) : (
        <p>Nothing was measured on this machine yet.</p>
      )}
      {next === null ? null : (
        <button type="button" class="second" onClick={() => void fetchMore(next)}>
          Older ones
        </button>
      )}
      {trouble ? <TroubleNote trouble={trouble} /> : null}
      {runs.refused ? (
        <p class="warn">
          <b>Not now.</b> {runs.refused}
        </p>
      ) : null}
      {may ? (
        <section class="off-paper" aria-labelledby="open-title">
          <h2 id="open-title">{items.length === 0 ? "Open the first run" : "Another run"}</h2>
          {opening ? (
            <OpenRun at={at} account={account} list={runs} />
          ) : (
            <button type="button" onClick={() => setOpening(true)}>
              Open a run
            </button>
          )}
        </section>
      ) : null}
      <p class="row off-paper">
        <Link href={buildPath(at)}>The machine</Link>
      </p>
    </>
  );
}

function RunLine({ at, run: r }: { at: BuildAddress; run: RunHead }) {
  return (
    <li>
      <Link class="open" href={runPath({ ...at, run: r.number })}>
        <b>
          {r.number}. {r.title}
        </b>{" "}
        <Stamp {...stateOf(r)} />
      </Link>
      <p>
        {sayRun(r)} <span class="quiet">Opened {day(r.opened_at)} by {r.opened_by.name}.</span>
      </p>
      {r.marks.map((m) => (
        <p class="note small" key={`${m.code} ${m.text}`}>
          {m.text}
        </p>
      ))}
    </li>
  );
}

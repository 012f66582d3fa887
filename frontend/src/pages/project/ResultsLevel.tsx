import { Link } from "wouter-preact";
import { api, ask, type Answer, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { Stamp } from "../../parts/Stamp/Stamp";
import { Waiting } from "../../parts/Trouble/Waiting";
import { tagName } from "../build/states";
import { fetchRuns, runPath, runsPath, type RunList } from "../run/fetch";
import { newestOf, sayRun, stateOf } from "../run/says";
import { Level } from "./Fall";

type BuildHead = Schema<"BuildHead">;

interface Measured {
  build: BuildHead;
  runs: RunList;
}

/** Of so many machines the level says what was measured. */
const shown = 5;

async function fetchMeasured(project: number): Promise<Answer<Measured[]>> {
  const builds = await ask(api.GET("/api/v1/projects/{project}/builds", { params: { path: { project } } }));
  if (!builds.ok) {
    return builds;
  }
  const all: Measured[] = [];
  for (const build of builds.data.items.slice(0, shown)) {
    const runs = await fetchRuns({ project, build: build.id });
    if (!runs.ok) {
      return runs;
    }
    all.push({ build, runs: runs.data });
  }
  return { ...builds, data: all };
}

/** ResultsLevel says of each machine what its newest run came to, and leads to the next thing to do about it. */
export function ResultsLevel({ project: p }: { project: Schema<"Project"> }) {
  const { loaded, again } = useLoad<Measured[]>(() => fetchMeasured(p.id), [p.id]);
  const all = loaded.state === "here" ? loaded.data : [];
  return (
    <Level name="Results" place="tailwater" reached={all.some((m) => m.runs.items.length > 0)}>
      {loaded.state !== "here" ? (
        <Waiting loaded={loaded} again={again} />
      ) : all.length === 0 ? (
        <p>Here what is measured is laid against what was predicted. It needs a machine that is built and tested.</p>
      ) : (
        <>
          <ul class="designs">
            {all.map((m) => (
              <MeasuredLine key={m.build.id} project={p.id} {...m} />
            ))}
          </ul>
          {all.length === shown ? <p class="small quiet">These are the {shown} newest machines; how older ones stand, their own pages say.</p> : null}
        </>
      )}
    </Level>
  );
}

function MeasuredLine({ project, build, runs }: Measured & { project: number }) {
  const at = { project, build: build.id };
  const newest = newestOf(runs);
  const may = runs.refused === "" && runs.allowed_actions.includes("open_run");
  const aside = runs.items.filter((r) => r.state === "set_aside").length;
  const open = newest?.state === "open" ? newest : undefined;
  const go = open ? `Go on with run ${open.number}` : newest ? "Its runs" : may ? "Open a run" : "What a run takes";
  return (
    <li>
      <p>
        <b>
          {tagName(build.tag)}, {build.title}
        </b>{" "}
        {newest ? <Stamp {...stateOf(newest)} /> : null}
      </p>
      <p>
        {newest ? `Run ${newest.number}, “${newest.title}”: ${sayRun(newest)}` : "Nothing was measured on it yet."}
        {aside > 0 && newest?.state !== "set_aside" ? ` ${aside === 1 ? "One run is" : `${aside} runs are`} set aside.` : ""}
      </p>
      <Link class={open || (!newest && may) ? "do" : "do second"} href={open ? runPath({ ...at, run: open.number }) : runsPath(at)} aria-label={`${go}: ${tagName(build.tag)}, ${build.title}`}>
        {go}
      </Link>
    </li>
  );
}

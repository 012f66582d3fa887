import { useState } from "preact/hooks";
import { Link } from "wouter-preact";
import { api, ask, type Answer, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { Drawing, roundScale } from "../../parts/Drawing/Drawing";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Stamp } from "../../parts/Stamp/Stamp";
import { TakeAlong } from "../../parts/TakeAlong/TakeAlong";
import { TitleBlock } from "../../parts/TitleBlock/TitleBlock";
import { Waiting } from "../../parts/Trouble/Waiting";
import { useUnits } from "../../system";
import { day, listed } from "../../words";
import { Answers } from "../sheet/Answers";
import { crewOf } from "../project/origin";
import { useNarrow } from "../sheet/narrow";
import { runsPath } from "../run/fetch";
import { sheetPath } from "../sheet/refs";
import { saySheet } from "../sheet/say";
import { certificatePath, testsPath } from "../test/fetch";
import { Builders } from "./Builders";
import { buildPath, fetchBoth, type Build, type BuildAddress, type WithProject } from "./fetch";
import { History } from "./History";
import { InForce } from "./InForce";
import { StateChange } from "./StateChange";
import { buildWords, sayCertificate, tagName } from "./states";
import "../sheet/page.css";
import "../kept/page.css";
import "./page.css";

interface Shown extends WithProject {
  fields: Schema<"CalcField">[];
  outputs: Schema<"CalcField">[];
}

/** What a change of the machine came to, for the page to draw; it tells whether it was made. */
export type Take = (a: Answer<Build>) => boolean;

/** BuildPage is one machine as it stands. */
export default function BuildPage(address: BuildAddress) {
  const { loaded, again } = useLoad<Shown>(() => fetchShown(address), [address.project, address.build]);
  const [changed, setChanged] = useState<{ build: Build; etag: string | null } | null>(null);
  const here = loaded.state === "here" ? loaded.data : null;
  const build = changed?.build ?? here?.build ?? null;
  const trail = [
    { href: "/projects", name: "Projects" },
    { href: `/projects/${address.project}`, name: here?.project.title ?? "Project" },
  ];
  const take: Take = (a) => {
    if (a.ok) {
      setChanged({ build: a.data, etag: a.etag });
    }
    return a.ok;
  };
  const reload = () => {
    setChanged(null);
    again();
  };
  return (
    <PageFrame
      title={build?.title ?? "Machine"}
      trail={trail}
      wide
      key={here ? "here" : "waiting"}
      {...(build ? { aside: <Stamp word={buildWords[build.state]} danger={build.marks.some((m) => m.code !== "revision-superseded")} /> } : {})}
    >
      {here && build && loaded.state === "here" ? (
        <Machine shown={{ ...here, build }} etag={changed ? changed.etag : loaded.etag} take={take} again={reload} />
      ) : (
        <Waiting loaded={loaded} again={again} />
      )}
    </PageFrame>
  );
}

async function fetchShown(address: BuildAddress): Promise<Answer<Shown>> {
  const [both, calc] = await Promise.all([fetchBoth(address), ask(api.GET("/api/v1/calc/{family}", { params: { path: { family: "trompe" } } }))]);
  if (!both.ok) {
    return both;
  }
  return calc.ok ? { ...both, data: { ...both.data, fields: calc.data.inputs, outputs: calc.data.outputs } } : calc;
}

/** What the parts of the page are given to change the machine by. */
export interface ChangeProps {
  build: Build;
  etag: string | null;
  take: Take;
  again: () => void;
}

function Machine({ shown: { build, project, fields, outputs }, etag, take, again }: { shown: Shown; etag: string | null; take: Take; again: () => void }) {
  const units = useUnits();
  const narrow = useNarrow();
  const [scale, setScale] = useState(0);
  const now = build.now;
  const about = saySheet(now.report, units) ?? "Elevation of the machine as it stands";
  const sheet = { design: build.design, letter: now.sheet.letter, number: now.sheet.number };
  const may = build.allowed_actions.includes("change_build");
  const change: ChangeProps = { build, etag, take, again };
  return (
    <article class="machine" aria-label={`Machine ${tagName(build.tag)}`}>
      {build.marks.map((m) => (
        <p class={m.code === "revision-superseded" ? "note" : "warn"} key={m.code}>
          {m.text}
        </p>
      ))}
      <section class={build.certificate.valid ? "holds" : "warn"} aria-label="Certificate">
        <p>{sayCertificate(build.certificate)}</p>
        <p class="row off-paper">
          <Link class="do second" href={testsPath({ project: project.id, build: build.id })}>
            Pressure tests
          </Link>
          <Link class="do second" href={certificatePath({ project: project.id, build: build.id })}>
            Certificate
          </Link>
        </p>
      </section>
      <div class="machine-sheet">
        <section class="machine-drawing" aria-label="Elevation">
          <Drawing drawing={now.drawing} about={about} height={narrow ? 420 : 560} short={narrow} write={units.write} onScale={setScale} />
          <TitleBlock
            boxes={[
              { name: "machine", value: build.title, wide: true },
              { name: "tag", value: tagName(build.tag) },
              { name: "project", value: project.title, wide: true },
              { name: "revision", value: `${build.design_title}, ${build.letter}`, wide: true },
              { name: "stands", value: build.place, wide: true },
              { name: "builders", value: listed(build.builders.map((b) => b.name)), wide: true },
              { name: "as of", value: day(now.made_at) },
              { name: "scale", value: scale > 0 ? `1:${roundScale(scale)}` : "to scale" },
              { name: "units", value: units.line, wide: true },
            ]}
          />
        </section>
        <div class="machine-side">
          <section aria-label="What it will do">
            <h2>As it stands</h2>
            <p>{about}</p>
            <InForce build={build} />
            <div class="row off-paper">
              {may ? (
                <Link class="do second" href={`${buildPath({ project: project.id, build: build.id })}/change`}>
                  Record what differs or was renewed
                </Link>
              ) : null}
              <Link class="do second" href={sheetPath(project.id, sheet)}>
                Its sheet {`${sheet.letter}.${sheet.number}`}
              </Link>
            </div>
          </section>
          <section class="off-paper" aria-label="Measuring">
            <h2>Measuring</h2>
            <p>A run lays what is measured on it against what is predicted, and says whether the promise was kept.</p>
            <p class="row">
              <Link class="do second" href={runsPath({ project: project.id, build: build.id })}>
                Its runs
              </Link>
              <Link class="do second" href={`${buildPath({ project: project.id, build: build.id })}/loggers`}>
                Its loggers
              </Link>
            </p>
          </section>
          <section class="off-paper" aria-label="Log and label">
            <h2>Log and label</h2>
            <div class="row">
              <Link class="do" href={`${buildPath({ project: project.id, build: build.id })}/log`}>
                Write or read its log
              </Link>
              <Link class="do second" href={`${buildPath({ project: project.id, build: build.id })}/label`}>
                Label to print
              </Link>
            </div>
          </section>
          <StateChange {...change} />
          <Builders {...change} project={project} />
        </div>
      </div>
      <details class="fold answers-fold">
        <summary>All answers for the machine as it stands</summary>
        <div class="sheet-answers">
          <Answers report={now.report} basis={{ inputs: fields, outputs, input: now.input.trompe }} drawing={now.drawing} kept />
        </div>
      </details>
      <History build={build} />
      <TakeAlong path={`/api/v1${buildPath({ project: project.id, build: build.id })}/export`} what="This machine: how it stood in each version, its tests, certificates and runs, and its log. Pictures and files of loggers go along with the whole project." />
      {may ? null : <p class="quiet">{whoMay(build, project)}</p>}
    </article>
  );
}

function whoMay(build: Build, project: Schema<"Project">): string {
  if (build.state === "scrapped") {
    return "This machine was scrapped: nothing about it changes any more. Its log stays open.";
  }
  return `You can read all of it and write into its log. Only the crew of its project records what changes about it${crewOf(project)}.`;
}

import { useState } from "preact/hooks";
import { Link } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { useSession } from "../../api/session";
import { Elevation } from "../../parts/Art/Elevation";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Stamp } from "../../parts/Stamp/Stamp";
import { TakeAlong } from "../../parts/TakeAlong/TakeAlong";
import { TitleBlock } from "../../parts/TitleBlock/TitleBlock";
import { Waiting } from "../../parts/Trouble/Waiting";
import { day, listed } from "../../words";
import { CheckLevel } from "./CheckLevel";
import { Crew } from "./Crew";
import { DesignLevel } from "./DesignLevel";
import { Fall } from "./Fall";
import { LaterLevels } from "./LaterLevels";
import { BroughtIn } from "./BroughtIn";
import { SiteLevel } from "./SiteLevel";
import { crewOf } from "./origin";
import "./page.css";

type Project = Schema<"Project">;

const trail = [{ href: "/projects", name: "Projects" }];

/** ProjectPage tells a project in the order in which water falls. */
export function ProjectPage({ id }: { id: number }) {
  const { loaded, again } = useLoad<Project>(() => ask(api.GET("/api/v1/projects/{project}", { params: { path: { project: id } } })), [id]);
  const [changed, setChanged] = useState<Project | null>(null);
  const session = useSession();
  const reload = () => {
    setChanged(null);
    again();
  };
  if (loaded.state !== "here") {
    return (
      <PageFrame title="Project" trail={trail} key="waiting">
        <Waiting loaded={loaded} again={again} />
      </PageFrame>
    );
  }
  const p = changed ?? loaded.data;
  return (
    <PageFrame title={p.title} trail={trail} key="here" {...(p.closed_at ? { aside: <Stamp word="closed" /> } : {})}>
      <div class="project">
        <div class="project-purpose">
          {p.purpose ? <p>{p.purpose}</p> : <p class="quiet">Nobody has said yet what it is for.</p>}
          {p.origin ? <BroughtIn origin={p.origin} /> : null}
        </div>
        <div class="project-side">
          <figure>
            <Elevation thin={!p.designs.some((d) => d.newest)} />
            <figcaption class="small quiet">The idea, not to scale. The sheet of a design draws the machine itself.</figcaption>
          </figure>
          <div class="project-block">
            <ProjectBlock project={p} />
          </div>
        </div>
        <Fall>
          <SiteLevel project={p} />
          <DesignLevel project={p} />
          <CheckLevel project={p} />
          <LaterLevels project={p} />
        </Fall>
      </div>
      <Crew project={p} me={"member" in session ? session.member.id : 0} changed={setChanged} again={reload} />
      <TakeAlong path={`/api/v1/projects/${p.id}/export`} what="The whole project: site, designs and their checks, machines with tests, certificates and runs, the log, pictures and files of loggers. Another group can bring it in." />
    </PageFrame>
  );
}

function ProjectBlock({ project: p }: { project: Project }) {
  const may = p.allowed_actions.includes("change_project");
  return (
    <>
      <TitleBlock
        boxes={[
          { name: "project", value: p.title, wide: true },
          { name: "no.", value: String(p.id).padStart(2, "0") },
          { name: "crew", value: listed(p.crew.map((c) => c.name)), wide: true },
          { name: "started", value: day(p.started_at) },
          { name: "state", value: <Stamp word={p.closed_at ? "closed" : "open"} /> },
        ]}
      />
      {may ? (
        <Link href={`/projects/${p.id}/change`} class="change off-paper">
          Change title or purpose, {p.closed_at ? "reopen" : "close"}
        </Link>
      ) : (
        <p class="small quiet">
          You can read all of it. Only its crew can change it
          {crewOf(p)}.
        </p>
      )}
    </>
  );
}

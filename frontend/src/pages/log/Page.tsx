import { useState } from "preact/hooks";
import { api, ask, type Answer, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { useSession, type Member } from "../../api/session";
import { useOutbox } from "../../outbox/outbox";
import { Unsent } from "../../outbox/Unsent";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";
import { buildPath, fetchProject } from "../build/fetch";
import { tagName } from "../build/states";
import { Entries } from "./Entries";
import { aboutLog } from "./parcels";
import { WriteEntry } from "./WriteEntry";
import "./page.css";

interface Here {
  project: Schema<"Project">;
  machines: Schema<"BuildHead">[];
}

/** LogPage is the log of a project, or of one of its machines. */
export default function LogPage({ project, build }: { project: number; build: number | null }) {
  const session = useSession();
  const { loaded, again } = useLoad<Here>(() => fetchHere(project), [project]);
  const here = loaded.state === "here" ? loaded.data : null;
  const machine = here?.machines.find((m) => m.id === build);
  const trail = [
    { href: "/projects", name: "Projects" },
    { href: `/projects/${project}`, name: here?.project.title ?? "Project" },
    ...(build === null ? [] : [{ href: buildPath({ project, build }), name: machine ? `${tagName(machine.tag)}, ${machine.title}` : "Machine" }]),
  ];
  return (
    <PageFrame title={build === null ? "Log of the project" : machine ? `Log of machine ${tagName(machine.tag)}` : "Log of the machine"} trail={trail}>
      {"member" in session ? <Log member={session.member} project={project} build={build} machines={here?.machines ?? []} /> : null}
      {here ? null : <Waiting loaded={loaded} again={again} />}
    </PageFrame>
  );
}

async function fetchHere(id: number): Promise<Answer<Here>> {
  const [project, builds] = await Promise.all([
    fetchProject(id),
    ask(api.GET("/api/v1/projects/{project}/builds", { params: { path: { project: id }, query: { limit: 100 } } })),
  ]);
  if (!project.ok) {
    return project;
  }
  return builds.ok ? { ...project, data: { project: project.data, machines: builds.data.items } } : builds;
}

interface LogProps {
  member: Member;
  project: number;
  build: number | null;
  machines: Schema<"BuildHead">[];
}

function Log({ member, project, build, machines }: LogProps) {
  const { parcels, sent } = useOutbox(member.id, aboutLog(project));
  const [written, setWritten] = useState(0);
  const writing = { account: member.id, project, build, strikes: null, zone: member.time_zone };
  return (
    <div class="log">
      <Unsent account={member.id} parcels={parcels} />
      <WriteEntry key={written} writing={writing} machines={build === null ? machines : []} written={() => setWritten((n) => n + 1)} />
      <p role="status" class="log-said">
        {sent > 0 && parcels.length === 0 ? "The notebook has it." : ""}
      </p>
      <Entries member={member} project={project} build={build} machines={machines} sent={sent} />
    </div>
  );
}

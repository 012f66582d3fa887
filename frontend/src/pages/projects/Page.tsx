import { useState } from "preact/hooks";
import { Link } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import type { Trouble } from "../../api/problem";
import { useSession } from "../../api/session";
import { Elevation } from "../../parts/Art/Elevation";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Stamp } from "../../parts/Stamp/Stamp";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { Waiting } from "../../parts/Trouble/Waiting";
import { day, listed } from "../../words";
import { broughtIn } from "../project/origin";
import "./page.css";

type ProjectHead = Schema<"ProjectHead">;
type ProjectList = Schema<"ProjectList">;

function fetchList(before?: number) {
  return ask(api.GET("/api/v1/projects", { params: { query: { limit: 25, ...(before === undefined ? {} : { before }) } } }));
}

/** ProjectsPage is the register of all projects of the group, newest first. */
export function ProjectsPage() {
  const { loaded, again } = useLoad<ProjectList>(() => fetchList(), []);
  return (
    <PageFrame title="Projects">
      {loaded.state !== "here" ? <Waiting loaded={loaded} again={again} /> : null}
      {loaded.state === "here" && loaded.data.items.length === 0 ? <NoProjects /> : null}
      {loaded.state === "here" && loaded.data.items.length > 0 ? <Register first={loaded.data} /> : null}
    </PageFrame>
  );
}

function NoProjects() {
  return (
    <div class="nothing-yet">
      <Elevation thin />
      <div>
        <h2>Nothing is drawn yet</h2>
        <p>
          A project begins with a place where water falls. Say what it is for; the notebook then asks what the site gives, and works out
          what a machine there would do.
        </p>
        <div class="row">
          <Link href="/projects/new" class="do">
            Start the first project
          </Link>
          <BringIn />
        </div>
      </div>
    </div>
  );
}

/** BringIn leads a keeper to where a project of another group is brought in. */
function BringIn() {
  const session = useSession();
  if (!("member" in session) || !session.member.roles.includes("keeper")) {
    return null;
  }
  return (
    <Link href="/projects/import" class="do second">
      Bring in one of another group
    </Link>
  );
}

function Register({ first }: { first: ProjectList }) {
  const [items, setItems] = useState(first.items);
  const [next, setNext] = useState(first.next);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const older = async () => {
    const a = await fetchList(next ?? undefined);
    setTrouble(a.ok ? null : a.trouble);
    if (a.ok) {
      setItems([...items, ...a.data.items]);
      setNext(a.data.next);
    }
  };
  return (
    <>
      <div class="row">
        <Link href="/projects/new" class="do">
          Start a project
        </Link>
        <BringIn />
      </div>
      <ol class="register">
        {items.map((p) => (
          <Row key={p.id} project={p} />
        ))}
      </ol>
      {trouble ? <TroubleNote trouble={trouble} /> : null}
      {next === null ? null : (
        <button type="button" class="second" onClick={() => void older()}>
          Older projects
        </button>
      )}
    </>
  );
}

function Row({ project: p }: { project: ProjectHead }) {
  return (
    <li class={p.closed_at ? "closed" : undefined}>
      <span class="number" aria-hidden="true">
        {String(p.id).padStart(2, "0")}
      </span>
      <div class="what">
        <h2>
          <Link href={`/projects/${p.id}`}>{p.title}</Link> {p.closed_at ? <Stamp word="closed" /> : null}
        </h2>
        {p.purpose ? <p>{p.purpose}</p> : null}
        {p.origin ? <p class="quiet">{broughtIn(p.origin)}</p> : null}
      </div>
      <p class="who quiet">
        {p.crew.length > 0 ? listed(p.crew.map((c) => c.name)) : "nobody on the crew"}
        <br />
        since {day(p.started_at)}
      </p>
    </li>
  );
}

import { useState } from "preact/hooks";
import { Link, useLocation, useSearch } from "wouter-preact";
import { api, ask, type Answer, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { useForm, type Outcome } from "../../forms/form";
import { DraftNote } from "../../parts/Field/DraftNote";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";
import { crewOf } from "../project/origin";
import { buildPath, fetchCleared, fetchProject, type Cleared } from "../build/fetch";
import { stateWords } from "../sheet/states";
import { ClearedChoice, chosenOf, writeCleared } from "./ClearedChoice";

interface Starting {
  project: Schema<"Project">;
  cleared: Cleared[];
  may: boolean;
}

/** NewBuildPage begins a machine from a cleared revision of the project. */
export default function NewBuildPage({ account, project }: { account: number; project: number }) {
  const { loaded, again } = useLoad<Starting>(() => fetchStarting(project), [project]);
  const here = loaded.state === "here" ? loaded.data : null;
  const trail = [
    { href: "/projects", name: "Projects" },
    { href: `/projects/${project}`, name: here?.project.title ?? "Project" },
  ];
  return (
    <PageFrame title="Start a build" trail={trail} key={here ? "here" : "waiting"}>
      {here ? <Start of={here} account={account} /> : <Waiting loaded={loaded} again={again} />}
    </PageFrame>
  );
}

async function fetchStarting(id: number): Promise<Answer<Starting>> {
  const [project, builds] = await Promise.all([
    fetchProject(id),
    ask(api.GET("/api/v1/projects/{project}/builds", { params: { path: { project: id }, query: { limit: 1 } } })),
  ]);
  if (!project.ok) {
    return project;
  }
  if (!builds.ok) {
    return builds;
  }
  const cleared = await fetchCleared(project.data);
  return cleared.ok ? { ...project, data: { project: project.data, cleared: cleared.data, may: builds.data.allowed_actions.includes("start_build") } } : cleared;
}

function Start({ of, account }: { of: Starting; account: number }) {
  const { project, cleared, may } = of;
  if (!may) {
    return <p class="warn">Only the crew of the project starts its builds{crewOf(project)}.</p>;
  }
  return cleared.length === 0 ? <NothingCleared project={project} /> : <StartForm of={of} account={account} />;
}

function NothingCleared({ project }: { project: Schema<"Project"> }) {
  return (
    <div class="stack">
      <p>
        <b>Nothing is cleared yet.</b> A machine is built from a revision that somebody outside of the crew has checked and cleared.
      </p>
      {project.designs.length === 0 ? (
        <p>No design is drawn yet. Begin there.</p>
      ) : (
        <ul>
          {project.designs.map((d) => (
            <li key={d.id}>
              <Link href={`/projects/${project.id}/designs/${d.id}`}>{d.title}</Link>: revision {d.revision.letter} is {stateWords[d.revision.state]}.
            </li>
          ))}
        </ul>
      )}
      <Link class="do" href={`/projects/${project.id}`}>
        Back to the project
      </Link>
    </div>
  );
}

function StartForm({ of: { project, cleared }, account }: { of: Starting; account: number }) {
  const [, go] = useLocation();
  const asked = new URLSearchParams(useSearch()).get("revision") ?? "";
  const [start] = useState(() => {
    const first = chosenOf(cleared, asked) ?? (cleared.length === 1 ? cleared[0] : undefined);
    return { revision: first ? writeCleared(first) : "", title: project.title, place: project.site.name, note: "" };
  });
  const form = useForm<"revision" | "title" | "place" | "note">({
    id: `new-build-${project.id}`,
    account,
    start,
    fieldOf: (pointer) => (pointer === "/design" || pointer === "/letter" ? "revision" : /^\/(title|place|note)$/.exec(pointer)?.[1]),
    send: async ({ revision, title, place, note }, { key, renew }): Promise<Outcome> => {
      const from = chosenOf(cleared, revision);
      const faults = [
        ...(from ? [] : [{ field: "revision", message: "Choose the revision that it is built from." }]),
        ...(title.trim() ? [] : [{ field: "title", message: "Give the machine a name." }]),
        ...(place.trim() ? [] : [{ field: "place", message: "Say where it will stand." }]),
      ];
      if (!from || faults.length > 0) {
        return { faults };
      }
      const body = { title: title.trim(), design: from.design, letter: from.letter, place: place.trim(), note: note.trim(), client_key: key };
      const a = await ask(api.POST("/api/v1/projects/{project}/builds", { params: { path: { project: project.id } }, body }));
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      if (a.data.title !== body.title) {
        renew();
        return { faults: [{ field: "title", message: `When the connection broke, the build had been started already, as “${a.data.title}”, no. ${a.data.tag}. You find it on the project page. Press again only to start another.` }] };
      }
      go(buildPath({ project: project.id, build: a.data.id }), { replace: true });
      return { done: true };
    },
  });
  const text = (field: "title" | "place" | "note") => ({ text: form.texts[field], onText: (t: string) => form.set(field, t), fault: form.fault(field) });
  return (
    <form class="stack" noValidate onSubmit={form.submit} aria-label="New build">
      <FormSummary form={form} />
      <DraftNote form={form} />
      <p>One build is one physical machine. It gets the next tag number of the group, to be printed and stuck on it. You count as one of its builders.</p>
      <ClearedChoice list={cleared} label="Built from" chosen={form.texts.revision} choose={(t) => form.set("revision", t)} fault={form.fault("revision")} />
      <TextField name="title" label="Name of the machine" {...text("title")} />
      <TextField name="place" label="Where it stands" hint="So that somebody who reads the label finds it, such as: below the mill, left bank." {...text("place")} />
      <TextField name="note" label="Note" optional long {...text("note")} />
      <p class="warn">
        <b>Solvent cement and fumes, saws, dug holes.</b> Air the place, follow the maker’s sheet, shore up a trench before you stand in it. Nothing that was cleared here is a permit.
      </p>
      <div>
        <button type="submit" aria-disabled={form.busy}>
          Start the build
        </button>
      </div>
    </form>
  );
}

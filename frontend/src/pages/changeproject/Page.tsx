import { useState } from "preact/hooks";
import { useLocation } from "wouter-preact";
import { api, ask, type Answer, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { useForm, type Outcome } from "../../forms/form";
import { Diff } from "../../parts/Diff/Diff";
import { DraftNote } from "../../parts/Field/DraftNote";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";

type Project = Schema<"Project">;
type Field = "title" | "purpose";

const names: Record<Field, string> = { title: "Title", purpose: "What it is for" };

/** ChangeProjectPage changes a project's words, and closes or reopens it. */
export function ChangeProjectPage({ account, id }: { account: number; id: number }) {
  const { loaded, again } = useLoad<Project>(() => fetchProject(id), [id]);
  return (
    <PageFrame
      title="Change the project"
      trail={[
        { href: "/projects", name: "Projects" },
        { href: `/projects/${id}`, name: loaded.state === "here" ? loaded.data.title : "Project" },
      ]}
    >
      {loaded.state === "here" ? (
        <ChangeForm account={account} project={loaded.data} etag={loaded.etag} />
      ) : (
        <Waiting loaded={loaded} again={again} />
      )}
    </PageFrame>
  );
}

function fetchProject(project: number): Promise<Answer<Project>> {
  return ask(api.GET("/api/v1/projects/{project}", { params: { path: { project } } }));
}

function patch(project: number, base: string | null, body: Schema<"ChangeProject">): Promise<Answer<Project>> {
  return ask(
    api.PATCH("/api/v1/projects/{project}", {
      params: { path: { project }, header: { "If-Match": base ?? "" } },
      headers: { "Content-Type": "application/merge-patch+json" },
      body,
    }),
  );
}

function ChangeForm({ account, project, etag }: { account: number; project: Project; etag: string | null }) {
  const [, go] = useLocation();
  const [start] = useState({ title: project.title, purpose: project.purpose });
  const [newer, setNewer] = useState<{ project: Project; taken: Field[]; both: Field[] } | null>(null);
  const [closed, setClosed] = useState(project.closed_at !== null);

  /** Takes what came of a change: on to the project, or a comparison, or the trouble. */
  const take = async (a: Answer<Project>): Promise<Outcome> => {
    if (a.ok) {
      go(`/projects/${project.id}`);
      return { done: true };
    }
    const now = a.trouble.kind === "stale" ? await fetchProject(project.id) : null;
    if (now?.ok) {
      const { title, purpose } = now.data;
      setNewer({ project: now.data, ...form.meet({ title, purpose }, now.etag) });
      setClosed(now.data.closed_at !== null);
      return { compare: true };
    }
    return { trouble: a.trouble };
  };
  const form = useForm<Field>({
    id: `project-${project.id}`,
    account,
    start,
    base: etag,
    send: async ({ title, purpose }, { base }) => {
      if (title.trim() === "") {
        return { faults: [{ field: "title", message: "Give the project a title." }] };
      }
      return take(await patch(project.id, base, { title: title.trim(), purpose: purpose.trim() }));
    },
  });
  const [trouble, setTrouble] = useState("");
  const turn = async () => {
    const outcome = await take(await patch(project.id, form.base, { closed: !closed }));
    setTrouble("trouble" in outcome ? `${outcome.trouble.title}. ${outcome.trouble.detail}` : "");
  };
  return (
    <>
      <form class="stack" noValidate onSubmit={form.submit} aria-label="Project">
        <FormSummary form={form} />
        {newer ? (
          <Diff
            by="Someone else"
            rows={newer.both
              .filter((f) => form.texts[f] !== newer.project[f])
              .map((field) => ({ field, name: names[field], mine: form.texts[field], theirs: newer.project[field] }))}
            taken={newer.taken.map((f) => `${names[f]}: ${newer.project[f] || "empty"}`)}
            onTake={(f) => form.set(f, newer.project[f])}
            onClose={() => setNewer(null)}
          />
        ) : null}
        <DraftNote form={form} />
        <TextField
          name="title"
          label={names.title}
          text={form.texts.title}
          onText={(t) => form.set("title", t)}
          fault={form.fault("title")}
        />
        <TextField
          name="purpose"
          label={names.purpose}
          optional
          long
          text={form.texts.purpose}
          onText={(t) => form.set("purpose", t)}
          fault={form.fault("purpose")}
        />
        <div>
          <button type="submit" aria-disabled={form.busy}>
            Save
          </button>
        </div>
      </form>
      <section class="stack closing" aria-label="Close or reopen">
        <h2>{closed ? "This project is closed" : "Close the project"}</h2>
        <p>
          {closed
            ? "Its sheets can be read and nothing of it changed until it is reopened."
            : "A closed project can be read and not changed. Nothing is deleted, and the crew can reopen it."}
        </p>
        {trouble ? (
          <p class="warn" role="alert">
            {trouble}
          </p>
        ) : null}
        <button type="button" class="second" onClick={() => void turn()}>
          {closed ? "Reopen the project" : "Close the project"}
        </button>
      </section>
    </>
  );
}

import { useState } from "preact/hooks";
import { useLocation } from "wouter-preact";
import { api, ask, type Answer, type Schema } from "../../api/client";
import type { Trouble } from "../../api/problem";
import { useForm, type Outcome } from "../../forms/form";
import { DraftNote } from "../../parts/Field/DraftNote";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { PageFrame } from "../../parts/PageFrame/PageFrame";

type Made = Extract<Answer<Schema<"Project">>, { ok: true }>;

/**
 * catchUp brings a project up to what stands in the form: an earlier try may
 * have made it although its answer got lost, and the texts were changed since.
 */
async function catchUp(made: Made, texts: { title: string; purpose: string }): Promise<Trouble | null> {
  const [title, purpose] = [texts.title.trim(), texts.purpose.trim()];
  if (made.status !== 200 || (made.data.title === title && made.data.purpose === purpose)) {
    return null;
  }
  const a = await ask(
    api.PATCH("/api/v1/projects/{project}", {
      params: { path: { project: made.data.id }, header: { "If-Match": made.etag ?? "" } },
      headers: { "Content-Type": "application/merge-patch+json" },
      body: { title, purpose },
    }),
  );
  return a.ok ? null : a.trouble;
}

/** NewProjectPage starts a project: a title and what it is for. */
export function NewProjectPage({ account }: { account: number }) {
  const [, go] = useLocation();
  const [start] = useState({ title: "", purpose: "" });
  const form = useForm({
    id: "new-project",
    account,
    start,
    send: async (texts, { key }): Promise<Outcome> => {
      if (texts.title.trim() === "") {
        return { faults: [{ field: "title", message: "Give the project a title." }] };
      }
      const a = await ask(api.POST("/api/v1/projects", { body: { title: texts.title.trim(), purpose: texts.purpose.trim(), client_key: key } }));
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      const late = await catchUp(a, texts);
      if (late) {
        return { trouble: late };
      }
      go(`/projects/${a.data.id}`, { replace: true });
      return { done: true };
    },
  });
  return (
    <PageFrame title="Start a project" trail={[{ href: "/projects", name: "Projects" }]}>
      <p>One project is one machine at one place. You become the first of its crew.</p>
      <form class="stack" noValidate onSubmit={form.submit} aria-label="New project">
        <FormSummary form={form} />
        <DraftNote form={form} />
        <TextField
          name="title"
          label="Title"
          hint="What the group will call it, such as the place and what it does."
          text={form.texts.title}
          onText={(t) => form.set("title", t)}
          fault={form.fault("title")}
        />
        <TextField
          name="purpose"
          label="What it is for"
          optional
          long
          hint="What needs the air, how much of it, and when."
          text={form.texts.purpose}
          onText={(t) => form.set("purpose", t)}
          fault={form.fault("purpose")}
        />
        <div>
          <button type="submit" aria-disabled={form.busy}>
            Start the project
          </button>
        </div>
      </form>
    </PageFrame>
  );
}

import { useState } from "preact/hooks";
import { useLocation, useSearch } from "wouter-preact";
import { api, ask } from "../../api/client";
import { useForm, type Outcome } from "../../forms/form";
import { DraftNote } from "../../parts/Field/DraftNote";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { refOf, writeRef } from "../sheet/refs";

/** NewDesignPage starts a design of a project with revision A as a draft. */
export function NewDesignPage({ account, project }: { account: number; project: number }) {
  const [, go] = useLocation();
  const from = refOf(new URLSearchParams(useSearch()).get("from") ?? "");
  const [start] = useState({ title: "" });
  const form = useForm({
    id: `new-design-${project}${from ? `-${writeRef(from)}` : ""}`,
    account,
    start,
    send: async ({ title }, { key, renew }): Promise<Outcome> => {
      if (title.trim() === "") {
        return { faults: [{ field: "title", message: "Give the design a title." }] };
      }
      const a = await ask(
        api.POST("/api/v1/projects/{project}/designs", { params: { path: { project } }, body: { title: title.trim(), client_key: key, ...(from ? { from } : {}) } }),
      );
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      if (a.data.title !== title.trim()) {
        renew();
        return { faults: [{ field: "title", message: madeAlready(a.data.title) }] };
      }
      go(`/projects/${project}/designs/${a.data.id}`, { replace: true });
      return { done: true };
    },
  });
  return (
    <PageFrame
      title="Start a design"
      trail={[
        { href: "/projects", name: "Projects" },
        { href: `/projects/${project}`, name: "Project" },
      ]}
    >
      <p>
        {from ? `It begins with a copy of sheet ${from.letter}.${from.number}, calculated again with today’s calculation. ` : ""}A design is a sequence of revisions. The first is revision A, a draft: you fill in its sheet next, and each time you save it the
        notebook works out what the machine would do.
      </p>
      <form class="stack" noValidate onSubmit={form.submit} aria-label="New design">
        <FormSummary form={form} />
        <DraftNote form={form} />
        <TextField
          name="title"
          label="Title"
          hint="What tells it from other designs of this machine, such as “short riser” or “two chambers”."
          text={form.texts.title}
          onText={(t) => form.set("title", t)}
          fault={form.fault("title")}
        />
        <div>
          <button type="submit" aria-disabled={form.busy}>
            Start the design
          </button>
        </div>
      </form>
    </PageFrame>
  );
}

/** A try whose answer got lost made the design under the title of then. */
function madeAlready(title: string): string {
  return `When the connection broke, the design had been made already, as “${title}”. You find it on the project page. Press again only to start another.`;
}

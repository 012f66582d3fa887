import { useEffect, useRef, useState } from "preact/hooks";
import { useLocation } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { useForm, type Outcome } from "../../forms/form";
import { Field } from "../../parts/Field/Field";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { Waiting } from "../../parts/Trouble/Waiting";
import { makeDraft } from "./draft";

interface Props {
  account: number;
  project: number | null;
  proposal: Schema<"Proposal">;
  number: number;
}

/** StartDraft asks where the draft is to stand, makes it and goes there. */
export function StartDraft(props: Props) {
  const { loaded, again } = useLoad(() => ask(api.GET("/api/v1/projects", { params: { query: { limit: 100 } } })), []);
  if (loaded.state !== "here") {
    return <Waiting loaded={loaded} again={again} />;
  }
  const mine = loaded.data.items.filter((p) => p.closed_at === null && p.crew.some((c) => c.id === props.account));
  return <PlaceForm {...props} mine={mine} />;
}

function PlaceForm({ project, proposal, number, mine }: Props & { mine: Schema<"ProjectHead">[] }) {
  const [, go] = useLocation();
  const box = useRef<HTMLFormElement>(null);
  const here = mine.some((p) => p.id === project) ? String(project) : "new";
  const [start] = useState({ project: here, title: "", design: "" });
  // One form at a time is open for a machine, and none outlives the page: no draft is kept of three words.
  const form = useForm({
    id: "",
    account: null,
    start,
    send: async (texts, { key }): Promise<Outcome> => {
      const [title, design, isNew] = [texts.title.trim(), texts.design.trim(), texts.project === "new"];
      const faults = [
        ...(isNew && title === "" ? [{ field: `title-${number}`, message: "Give the new project a title." }] : []),
        ...(design === "" ? [{ field: `design-${number}`, message: "Give the design a title." }] : []),
      ];
      if (faults.length > 0) {
        return { faults };
      }
      const a = await makeDraft({ project: isNew ? null : Number(texts.project), title, design }, proposal, key);
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      go(a.data);
      return { done: true };
    },
    fieldOf: (pointer) => `${pointer.slice(1)}-${number}`,
  });
  useEffect(() => box.current?.querySelector<HTMLElement>("select, input")?.focus(), []);
  const fault = (field: string) => form.failure?.entries.find((e) => e.field === `${field}-${number}`)?.message;
  return (
    <form class="stack" noValidate onSubmit={form.submit} ref={box} aria-label={`Draft from machine ${number}`}>
      <FormSummary form={form} />
      {mine.length > 0 ? (
        <Field name={`project-${number}`} label="Where is it to stand?">
          {(control) => (
            <select {...control} value={form.texts.project} onChange={(e) => form.set("project", e.currentTarget.value)}>
              <option value="new">In a new project</option>
              {mine.map((p) => (
                <option key={p.id} value={p.id}>
                  {p.title}
                </option>
              ))}
            </select>
          )}
        </Field>
      ) : null}
      {form.texts.project === "new" ? (
        <TextField
          name={`title-${number}`}
          label="Title of the project"
          hint="What the group will call it, such as the place and what it does."
          text={form.texts.title}
          onText={(t) => form.set("title", t)}
          fault={fault("title")}
        />
      ) : null}
      <TextField
        name={`design-${number}`}
        label="Title of the design"
        hint="What tells it from other designs of this machine, such as “two downcomers”."
        text={form.texts.design}
        onText={(t) => form.set("design", t)}
        fault={fault("design")}
      />
      <div>
        <button type="submit" aria-disabled={form.busy}>
          Make the draft
        </button>
      </div>
    </form>
  );
}

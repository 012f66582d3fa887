import { useState } from "preact/hooks";
import { useLocation } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useForm, type Form, type Outcome } from "../../forms/form";
import { Diff, type Difference } from "../../parts/Diff/Diff";
import { DraftNote } from "../../parts/Field/DraftNote";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { factsOf, fieldNames, fieldOf, textsOf, type SiteField, type SiteTexts } from "./facts";
import { Figures } from "./Figures";
import { preferredFlow } from "./preferred";
import { SourceChoice } from "./SourceChoice";
import "./page.css";

type Site = Schema<"Site">;

/** What someone else saved while this form was open. */
interface Newer {
  site: Site;
  texts: SiteTexts;
}

/** SiteForm takes the facts of a site as people measure them. */
export function SiteForm({ account, site, etag }: { account: number; site: Site; etag: string | null }) {
  const [, go] = useLocation();
  const [start] = useState(() => textsOf(site, preferredFlow()));
  const [newer, setNewer] = useState<Newer | null>(null);
  const project = site.project;

  const send = async (texts: SiteTexts, { base }: { base: string | null }): Promise<Outcome> => {
    const read = factsOf(texts, start, site);
    if ("faults" in read) {
      return read;
    }
    const params = { path: { project }, header: { "If-Match": base ?? "" } };
    const a = await ask(api.PUT("/api/v1/projects/{project}/site", { params, body: read.facts }));
    if (a.ok) {
      go(`/projects/${project}`);
      return { done: true };
    }
    return a.trouble.kind === "stale" && (await compare()) ? { compare: true } : { trouble: a.trouble };
  };
  const form = useForm<SiteField>({ id: `site-${project}`, account, start, base: etag, send, fieldOf });
  const compare = async (): Promise<boolean> => {
    const now = await ask(api.GET("/api/v1/projects/{project}/site", { params: { path: { project } } }));
    if (now.ok) {
      setNewer({ site: now.data, texts: textsOf(now.data, form.texts.flow_unit) });
      form.rebase(now.etag);
    }
    return now.ok;
  };

  const may = site.allowed_actions.includes("describe_site");
  return (
    <form class="stack site" noValidate onSubmit={form.submit} aria-label="The site">
      {newer ? (
        <Diff
          by={newer.site.changed_by?.name ?? "Someone else"}
          rows={differences(form.texts, newer.texts)}
          onTake={(f) => form.set(f, newer.texts[f])}
          onClose={() => setNewer(null)}
        />
      ) : (
        <FormSummary form={form} />
      )}
      <DraftNote form={form} />
      {may ? <p>What you don’t know yet may stay empty. Write a number as you measured it; a unit of its own may stand behind it, such as 8 ft.</p> : <OnlyCrew />}
      <TextField name="name" label="Name of the place" {...bind(form, "name")} />
      <SourceChoice form={form} />
      <Figures form={form} />
      <TextField name="note" label="Note" long hint="Access, ownership, floods, frost: what the next builder should know." {...bind(form, "note")} />
      {may ? (
        <div>
          <button type="submit" aria-disabled={form.busy}>
            Save the site
          </button>
        </div>
      ) : null}
    </form>
  );
}

function OnlyCrew() {
  return <p class="warn">You can read this. Only the crew of the project can change it.</p>;
}

/** bind ties a field of words to the form. */
export function bind(form: Form<SiteField>, field: SiteField) {
  return { text: form.texts[field], onText: (t: string) => form.set(field, t), fault: form.fault(field) };
}

/** differences lists what differs between one's own texts and what is saved. */
export function differences(mine: SiteTexts, theirs: SiteTexts): Difference<SiteField>[] {
  const fields = Object.keys(fieldNames) as SiteField[];
  return fields
    .filter((f) => f !== "flow_unit" && mine[f].trim() !== theirs[f].trim())
    .map((field) => ({ field, name: fieldNames[field], mine: mine[field], theirs: theirs[field] }));
}

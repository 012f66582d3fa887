import { useRef, useState } from "preact/hooks";
import { useLocation } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useForm, type Form, type Outcome } from "../../forms/form";
import { Diff, type Difference } from "../../parts/Diff/Diff";
import { DraftNote } from "../../parts/Field/DraftNote";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { useUnits, type Units } from "../../system";
import { factsOf, fieldNames, fieldOf, inUnits, textsOf, type SiteField, type SiteTexts } from "./facts";
import { Figures } from "./Figures";
import { fetchSite } from "./fetch";
import { preferredFlow } from "./preferred";
import { SourceChoice } from "./SourceChoice";
import "./page.css";

type Site = Schema<"Site">;

/** A site as it was read: its texts as one would type them, and its version. */
interface Reading {
  site: Site;
  texts: SiteTexts;
  etag: string | null;
}

/** What someone else saved meanwhile, which of it stands in the form already, and what both changed. */
interface Newer {
  reading: Reading;
  taken: SiteField[];
  both: SiteField[];
}

/** SiteForm takes the facts of a site as people measure them. */
export function SiteForm({ account, site, etag }: { account: number; site: Site; etag: string | null }) {
  const [, go] = useLocation();
  const [typing] = useState<Units>(useUnits());
  const [first] = useState<Reading>(() => ({ site, texts: textsOf(site, { flow_unit: preferredFlow(typing.system), units: typing.system }), etag }));
  const read = useRef(first);
  const [newer, setNewer] = useState<Newer | null>(null);
  const project = site.project;

  const send = async (texts: SiteTexts, { base }: { base: string | null }): Promise<Outcome> => {
    const made = factsOf(texts, read.current.texts, read.current.site);
    if ("faults" in made) {
      return made;
    }
    const params = { path: { project }, header: { "If-Match": base ?? "" } };
    const a = await ask(api.PUT("/api/v1/projects/{project}/site", { params, body: made.facts }));
    if (a.ok) {
      go(`/projects/${project}`);
      return { done: true };
    }
    return a.trouble.kind === "stale" && (await compare(texts)) ? { compare: true } : { trouble: a.trouble };
  };
  const form = useForm<SiteField>({ id: `site-${project}`, account, start: first.texts, base: etag, send, fieldOf, revive: (kept) => inUnits(kept, typing) });
  const compare = async (texts: SiteTexts): Promise<boolean> => {
    const now = await fetchSite(project);
    if (!now.ok) {
      return false;
    }
    const theirs: Reading = { site: now.data, texts: textsOf(now.data, texts), etag: now.etag };
    const { taken, both } = form.meet(theirs.texts, now.etag);
    read.current = theirs;
    setNewer({ reading: theirs, taken, both });
    return true;
  };

  const may = site.allowed_actions.includes("describe_site");
  return (
    <form class="stack site" noValidate onSubmit={form.submit} aria-label="The site">
      <FormSummary form={form} />
      {newer ? (
        <Diff
          by={who(newer.reading.site, account)}
          rows={differences(newer.both, form.texts, newer.reading.texts)}
          taken={newer.taken.map((f) => `${fieldNames[f]}: ${newer.reading.texts[f] || "empty"}`)}
          onTake={(f) => form.set(f, newer.reading.texts[f])}
          onClose={() => setNewer(null)}
        />
      ) : null}
      <DraftNote form={form} />
      {may ? <p>What you don’t know yet may stay empty. Write a number as you measured it; a unit of its own may stand behind it, such as 8 ft.</p> : <OnlyCrew />}
      <TextField name="name" label="Name of the place" {...bind(form, "name")} />
      <SourceChoice form={form} />
      <Figures form={form} gauged={site.gauging !== null && form.texts.flow === first.texts.flow && form.texts.gauged === first.texts.gauged} />
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

function who(site: Site, account: number): string {
  return site.changed_by?.id === account ? "You, on another page," : (site.changed_by?.name ?? "Someone else");
}

/** differences lists what both changed and is still not the same. */
function differences(both: SiteField[], mine: SiteTexts, theirs: SiteTexts): Difference<SiteField>[] {
  return both
    .filter((f) => mine[f].trim() !== theirs[f].trim())
    .map((field) => ({ field, name: fieldNames[field], mine: mine[field], theirs: theirs[field] }));
}

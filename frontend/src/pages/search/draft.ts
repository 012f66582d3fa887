import { api, ask, type Answer, type Schema } from "../../api/client";
import { fetchSite } from "../site/fetch";

/** Where a draft is to be made. */
export interface Place {
  /** Null: a new project. */
  project: number | null;
  title: string;
  design: string;
}

/**
 * makeDraft makes what is needed for a draft with this machine as its first
 * sheet and answers its address. Sent again with the same key it goes on where
 * the connection broke.
 */
export async function makeDraft(place: Place, { trompe, pipes }: Pick<Schema<"Proposal">, "trompe" | "pipes">, key: string): Promise<Answer<string>> {
  const project = await projectOf(place, trompe, key);
  if (!project.ok) {
    return project;
  }
  const path = { project: project.data };
  const design = await ask(api.POST("/api/v1/projects/{project}/designs", { params: { path }, body: { title: place.design, client_key: `${key}-d` } }));
  if (!design.ok) {
    return design;
  }
  const address = `/projects/${project.data}/designs/${design.data.id}`;
  if (design.data.sheet !== null) {
    return { ...design, data: address };
  }
  const saved = await ask(
    api.POST("/api/v1/projects/{project}/designs/{design}/revisions/{letter}/sheets", {
      params: { path: { ...path, design: design.data.id, letter: design.data.revision.letter }, header: { "If-Match": `"${design.data.version}"` } },
      body: { input: { trompe, parts: partsOf(pipes) }, note: "From what the site can give." },
    }),
  );
  return saved.ok ? { ...saved, data: address } : saved;
}

/** How plastic pipe is mostly joined under pressure, by the standard in its key. Common practice, no source. */
const jointOf = (key: string) => (key.startsWith("iso-4427-2") ? "fusion" : "solvent");

/** partsOf describes the pipes of a proposal as parts of the sheet, so that it says whether they may hold what they must. */
function partsOf(pipes: Schema<"Proposal">["pipes"]): Record<string, unknown>[] {
  return pipes.flatMap((p) => (p.key === undefined || p.part === "air_tubes" ? [] : [{ role: p.part, line: p.key, joint: jointOf(p.key) }]));
}

async function projectOf(place: Place, trompe: Schema<"TrompeInput">, key: string): Promise<Answer<number>> {
  if (place.project !== null) {
    return { ok: true, data: place.project, etag: null, status: 200 };
  }
  const made = await ask(api.POST("/api/v1/projects", { body: { title: place.title, purpose: "", client_key: `${key}-p` } }));
  if (!made.ok) {
    return made;
  }
  const described = await describe(made.data.id, trompe);
  return described.ok ? { ...made, data: made.data.id } : described;
}

/** describe gives a new project the site that was asked about. */
async function describe(project: number, trompe: Schema<"TrompeInput">): Promise<Answer<unknown>> {
  const site = await fetchSite(project);
  if (!site.ok || site.data.changed_at !== null) {
    return site;
  }
  const facts: Schema<"SiteFacts"> = {
    ...{ name: "", source: null, gauged: "", note: "", static_pa: null },
    ...{ fall_m: figure(trompe, "supply", "level_m"), flow_m3s: figure(trompe, "supply", "flow_max_m3s") },
    ...{ t_water_c: figure(trompe, "site", "t_water_c"), t_air_c: figure(trompe, "site", "t_air_c"), altitude_m: figure(trompe, "site", "altitude_m") },
  };
  return ask(api.PUT("/api/v1/projects/{project}/site", { params: { path: { project }, header: { "If-Match": site.etag ?? "" } }, body: facts }));
}

function figure(trompe: Schema<"TrompeInput">, group: "site" | "supply", name: string): number | null {
  const value = trompe[group]?.[name];
  return typeof value === "number" ? value : null;
}

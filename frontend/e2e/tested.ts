import { readFileSync } from "node:fs";
import { expect, type Browser, type BrowserContext, type Page } from "@playwright/test";
import { demoMember, type Caller } from "./caller";
import { petra, signIn, title, tomasz } from "./support";

export const bram = "Bram Oduya";
export const wanda = "Wanda Ekholm";

/** The code with which all invented people sign. */
export const code = "731942";

interface Part {
  role: string;
}
interface Machine {
  parts: Part[];
  facts: { riser_can_block: boolean; site: Record<string, unknown> };
}

/** plainMachine is one of hazard class plain: its air stands in steel, at a tenth of a bar, and its site asks nothing. */
function plainMachine(): unknown {
  const in_ = JSON.parse(readFileSync("../domain/notebook/demo/bench-pe.json", "utf8")) as Machine;
  const drum = { role: "chamber", name: "steel drum", od_m: 0.1028, wall_m: 0.003, rating_pa: 1.6e6, marking: "PN 16", gas_class: "metal", table: "STEEL", joint: "welded", location: "guarded" };
  const [downcomer, , riser] = in_.parts;
  const site = { ...in_.facts.site, public: false, electric: false };
  return { ...in_, parts: [downcomer, drum, riser], facts: { ...in_.facts, riser_can_block: false, site } };
}

/** A machine that is built, and ready for its test. */
export interface Built {
  path: string;
  crew: Caller;
  second: Caller;
  steward: Caller;
}

/** A plain machine of Petra's that is drawn and saved as sheet A.1. */
interface Drawn {
  project: string;
  design: number;
  revision: string;
  etag: string;
  crew: Caller;
}

/** drawnPlain draws it past the pages. */
export async function drawnPlain(url: string | undefined): Promise<Drawn> {
  const crew = await demoMember(url, petra);
  const { id } = await crew.post("/projects", { title: title("Air for the bench"), purpose: "", client_key: key() });
  const project = `/projects/${id}`;
  const design = await crew.post(`${project}/designs`, { title: "Steel drum", client_key: key() });
  const revision = `${project}/designs/${design.id}/revisions/A`;
  const saved = await crew.post(`${revision}/sheets`, { input: plainMachine() }, design.etag);
  return { project, design: design.id, revision, etag: saved.etag, crew };
}

const key = () => title("key").replace(/\W/g, "-");

/** builtPlain has it cleared by Tomasz and built, past the pages. */
export async function builtPlain(url: string | undefined): Promise<Built> {
  const { project, design, revision, etag, crew } = await drawnPlain(url);
  const [second, steward] = [await demoMember(url, tomasz), await demoMember(url, bram)];
  const issued = await crew.post(`${revision}/issue`, { sheet: 1, note: "", ask: [] }, etag);
  await second.post(`${revision}/outcomes`, { outcome: "clear", note: "", password: second.password }, issued.etag);
  const build = await crew.post(`${project}/builds`, { title: "Bench trompe", design, letter: "A", place: "The shed", client_key: key() });
  await crew.post(`${project}/builds/${build.id}/state`, { state: "built", reason: "All of it stands." }, build.etag);
  return { path: `${project}/builds/${build.id}`, crew, second, steward };
}

/** certified finds a machine that has a valid certificate, or one that has none, and that a run may be opened on. */
export async function certified(crew: Caller, valid = true): Promise<string> {
  const projects = await crew.get<{ items: { id: number }[] }>("/projects");
  for (const { id } of projects.items) {
    const builds = await crew.get<{ items: { id: number }[] }>(`/projects/${id}/builds`);
    for (const b of builds.items) {
      const path = `/projects/${id}/builds/${b.id}`;
      const { certificate } = await crew.get<{ certificate: { valid: boolean } }>(path);
      if (certificate.valid === valid) {
        const { allowed_actions } = await crew.get<{ allowed_actions: string[] }>(`${path}/runs`);
        if (allowed_actions.includes("open_run")) {
          return path;
        }
      }
    }
  }
  throw new Error(`No machine for a run has ${valid ? "a" : "no"} valid certificate.`);
}

/** enters opens a phone of somebody's own. */
export async function enters(browser: Browser, name: string): Promise<{ page: Page; context: BrowserContext }> {
  const context = await browser.newContext({ viewport: { width: 360, height: 740 } });
  const page = await context.newPage();
  await signIn(page, name);
  return { page, context };
}

interface Field {
  name: string;
  kind: string;
  unit: string;
  confirm: unknown;
  ticks: number | null;
  repeats: boolean;
  only_if: { choice: string; values: string[] } | null;
  values: string[];
  entries: { low: number | null; high: number | null; above_low: boolean }[];
}
export interface Item {
  id: string;
  state: string;
  roles: string[];
  lacks: string[];
  fields: Field[];
  entry: { values: Record<string, unknown> } | null;
}
export interface Sheet {
  ended: string | null;
  names: Record<string, unknown>;
  items: Item[];
}

/** What is typed where the procedure gives no limits, by the name of the field. */
const usual: Record<string, string> = { t_start: "14", t_end: "14" };
const chosen: Record<string, { value: string; label: string }> = {
  backflow: { value: "air_gap", label: "an air gap" },
  gauge_kind: { value: "manometer", label: "an open water manometer" },
  relief_kind: { value: "relief_valve", label: "a relief valve" },
  disposition: { value: "scrap", label: "scrapped" },
};

/** within is a reading that will do, as the sheet says its limits. */
function within(f: Field, entry: number): string {
  const e = f.entries[entry];
  const fixed = usual[f.name];
  if (fixed !== undefined || !e) {
    return fixed ?? "1";
  }
  return String((e.above_low ? e.high : e.low) ?? e.high ?? 1);
}

export const photo = { name: "seen.png", mimeType: "image/png", buffer: Buffer.from("iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==", "base64") };

/** fills types, ticks and takes all that an open item asks; readings by name may be given. */
export async function fills(page: Page, item: Item, readings: Record<string, string> = {}): Promise<void> {
  const box = page.locator(`#item-${item.id}`);
  let pictures = 0;
  for (const f of item.fields) {
    if (f.only_if && !f.only_if.values.includes(chosen[f.only_if.choice]?.value ?? "")) {
      continue;
    }
    for (let n = 0; n < f.entries.length; n++) {
      const control = page.locator(`[id="${item.id}-${f.name}${f.repeats ? `-${n}` : ""}"]`);
      if (f.kind === "photo") {
        await control.setInputFiles(photo);
        await expect(box.getByText("sent", { exact: true })).toHaveCount(++pictures);
      } else if (f.ticks !== null) {
        for (const tick of await control.getByRole("checkbox").all()) {
          await tick.check();
        }
      } else if (f.kind === "reading") {
        await control.fill(readings[f.name] ?? within(f, n));
      } else if (f.kind === "people") {
        await control.fill(`${petra}\n${tomasz}`);
      } else if (f.kind === "confirm" || f.confirm !== null) {
        await control.check();
      } else if (f.kind === "choice") {
        await control.getByLabel(chosen[f.name]?.label ?? "").check();
      } else if (f.name !== "expires_on") {
        await control.fill("As it was seen.");
      }
    }
  }
}

/** signs gives the code under an item. */
export async function signs(page: Page, item: string): Promise<void> {
  const box = page.locator(`#item-${item}`);
  await box.getByLabel(/^Signing code of/).fill(code);
  await box.getByRole("button", { name: "Sign", exact: true }).click();
}

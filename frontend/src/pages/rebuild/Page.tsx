import { useState } from "preact/hooks";
import { Link, useLocation } from "wouter-preact";
import { api, ask, type Answer } from "../../api/client";
import { useLoad } from "../../api/load";
import { useSession } from "../../api/session";
import { useForm, type Outcome } from "../../forms/form";
import { DraftNote } from "../../parts/Field/DraftNote";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";
import { buildPath, fetchBoth, fetchCleared, type BuildAddress, type Cleared, type WithProject } from "../build/fetch";
import { tagName } from "../build/states";
import { comparePath } from "../sheet/refs";
import { ClearedChoice, chosenOf, writeCleared } from "../newbuild/ClearedChoice";

interface Rebuilding extends WithProject {
  cleared: Cleared[];
}

/** RebuildPage records that a machine was rebuilt to another cleared revision. */
export default function RebuildPage(address: BuildAddress) {
  const session = useSession();
  const { loaded, again } = useLoad<Rebuilding>(() => fetchAll(address), [address.project, address.build]);
  const here = loaded.state === "here" ? loaded.data : null;
  const trail = [
    { href: "/projects", name: "Projects" },
    { href: `/projects/${address.project}`, name: here?.project.title ?? "Project" },
    { href: buildPath(address), name: here ? `${tagName(here.build.tag)}, ${here.build.title}` : "Machine" },
  ];
  return (
    <PageFrame title="Rebuild to another revision" trail={trail} key={here ? "here" : "waiting"}>
      {here && loaded.state === "here" && "member" in session ? <RebuildForm of={here} etag={loaded.etag} account={session.member.id} /> : <Waiting loaded={loaded} again={again} />}
    </PageFrame>
  );
}

async function fetchAll(address: BuildAddress): Promise<Answer<Rebuilding>> {
  const both = await fetchBoth(address);
  if (!both.ok) {
    return both;
  }
  const cleared = await fetchCleared(both.data.project);
  return cleared.ok ? { ...both, data: { ...both.data, cleared: cleared.data } } : cleared;
}

function RebuildForm({ of: { build, project, cleared }, etag, account }: { of: Rebuilding; etag: string | null; account: number }) {
  const [, go] = useLocation();
  const others = cleared.filter((c) => c.design !== build.design || c.letter !== build.letter);
  const [start] = useState({ revision: others.length === 1 && others[0] ? writeCleared(others[0]) : "", note: "" });
  const form = useForm<"revision" | "note">({
    id: `rebuild-${build.id}`,
    account,
    start,
    base: etag,
    fieldOf: (pointer) => (pointer.startsWith("/rebuild") ? "revision" : pointer === "/note" ? "note" : undefined),
    send: async ({ revision, note }, { base }): Promise<Outcome> => {
      const to = chosenOf(others, revision);
      if (!to) {
        return { faults: [{ field: "revision", message: "Choose the revision that it was rebuilt to." }] };
      }
      const params = { path: { project: project.id, build: build.id }, header: { "If-Match": base ?? "" } };
      const body = { rebuild: { design: to.design, letter: to.letter }, note: note.trim() };
      const a = await ask(api.POST("/api/v1/projects/{project}/builds/{build}/versions", { params, body }));
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      go(buildPath({ project: project.id, build: build.id }));
      return { done: true };
    },
  });
  if (!build.allowed_actions.includes("change_build")) {
    return <p class="warn">You can read this machine. Only the crew of its project records a rebuild.</p>;
  }
  if (others.length === 0) {
    return (
      <p>
        There is no other cleared revision. Draw the change in a new revision of {build.design_title} and let it be checked: once it is cleared, it stands here to choose.{" "}
        <Link href={`/projects/${project.id}/designs/${build.design}`}>To the design</Link>
      </p>
    );
  }
  const to = chosenOf(others, form.texts.revision);
  return (
    <form class="stack" noValidate onSubmit={form.submit} aria-label="Rebuild">
      <FormSummary form={form} />
      <DraftNote form={form} />
      <p>
        It stands as revision {build.letter} of {build.design_title}. After a rebuild its differences begin anew: enter what differs from the new sheet next. Its certificate ends, and who records
        this counts as one of its builders.
      </p>
      <ClearedChoice list={others} label="It was rebuilt to" chosen={form.texts.revision} choose={(t) => form.set("revision", t)} fault={form.fault("revision")} />
      {to ? (
        <p>
          <Link href={comparePath(project.id, { ...build.now.sheet }, { design: to.design, letter: to.letter, number: to.sheet })}>What differs between the two sheets</Link>
        </p>
      ) : null}
      <TextField name="note" label="Why" optional long text={form.texts.note} onText={(t) => form.set("note", t)} fault={form.fault("note")} />
      <div>
        <button type="submit" aria-disabled={form.busy}>
          Record the rebuild
        </button>
      </div>
    </form>
  );
}

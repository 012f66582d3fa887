import { useRef, useState } from "preact/hooks";
import { useLocation } from "wouter-preact";
import { api, ask } from "../../api/client";
import { useLoad } from "../../api/load";
import { useSession } from "../../api/session";
import { useForm, type Outcome } from "../../forms/form";
import { Diff } from "../../parts/Diff/Diff";
import { DraftNote } from "../../parts/Field/DraftNote";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";
import { useUnits } from "../../system";
import { buildPath, fetchBuild, type Build, type BuildAddress } from "../build/fetch";
import { tagName } from "../build/states";
import { changeOf, fieldAt, inUnits, nameOf, renewName, sayPlace, sayRenewed, startTexts, type ChangeTexts } from "./differences";
import { DifferenceFields } from "./DifferenceFields";
import { Effect } from "./Effect";
import "./page.css";

/** ChangeBuildPage records how a machine stands now: what differs from its sheet, what was renewed, where it stands. */
export default function ChangeBuildPage(address: BuildAddress) {
  const session = useSession();
  const { loaded, again } = useLoad<Build>(() => fetchBuild(address), [address.project, address.build]);
  const build = loaded.state === "here" ? loaded.data : null;
  const trail = [
    { href: "/projects", name: "Projects" },
    { href: `/projects/${address.project}`, name: "Project" },
    { href: buildPath(address), name: build ? `${tagName(build.tag)}, ${build.title}` : "Machine" },
  ];
  return (
    <PageFrame title="How it stands now" trail={trail} key={build ? "here" : "waiting"}>
      {build && loaded.state === "here" && "member" in session ? <ChangeForm account={session.member.id} first={build} etag={loaded.etag} /> : <Waiting loaded={loaded} again={again} />}
    </PageFrame>
  );
}

interface Newer {
  by: string;
  texts: ChangeTexts;
  taken: string[];
  both: string[];
}

function ChangeForm({ account, first, etag }: { account: number; first: Build; etag: string | null }) {
  const [, go] = useLocation();
  const units = useUnits();
  const [typing] = useState(units);
  const [build, setBuild] = useState(first);
  const newest = useRef(first);
  const [newer, setNewer] = useState<Newer | null>(null);
  const address = { project: build.project, build: build.id };
  const [start] = useState(() => startTexts(first, typing));
  const sent = useRef<string[]>([]);
  const form = useForm<string>({
    id: `change-build-${build.id}`,
    account,
    start,
    base: etag,
    revive: (kept) => inUnits(first.may_differ, kept, typing),
    fieldOf: (pointer) => fieldAt(pointer, sent.current),
    send: async (texts, { base }): Promise<Outcome> => {
      const { body, faults } = changeOf(newest.current, texts);
      if (faults.length > 0) {
        return { faults };
      }
      sent.current = body.renewed ?? [];
      const params = { path: address, header: { "If-Match": base ?? "" } };
      const a = await ask(api.POST("/api/v1/projects/{project}/builds/{build}/versions", { params, body }));
      if (a.ok) {
        go(buildPath(address));
        return { done: true };
      }
      return a.trouble.kind === "stale" && (await meet()) ? { compare: true } : { trouble: a.trouble };
    },
  });
  const meet = async (): Promise<boolean> => {
    const now = await fetchBuild(address);
    if (!now.ok) {
      return false;
    }
    const texts = startTexts(now.data, typing);
    const { taken, both } = form.meet(texts, now.etag);
    newest.current = now.data;
    setBuild(now.data);
    setNewer({ by: now.data.versions[0]?.made_by.name ?? "Somebody else", texts, taken: taken.filter(named), both: both.filter(named) });
    return true;
  };
  const named = (field: string) => field !== "units" && field !== "shown";
  const words = (field: string) => {
    const place = build.may_differ.find((p) => nameOf(p.at) === field);
    const renewed = build.renewable.find((at) => renewName(at) === field);
    return place ? sayPlace(place, build.now.input) : renewed ? sayRenewed(renewed, build.now.input) : field;
  };
  if (!build.allowed_actions.includes("change_build")) {
    return <p class="warn">You can read this machine. Only the crew of its project records what changes about it{build.state === "scrapped" ? ", and this one is scrapped: nothing changes any more" : ""}.</p>;
  }
  return (
    <form class="stack change-build" noValidate onSubmit={form.submit} aria-label="How it stands now">
      <FormSummary form={form} />
      {newer ? (
        <Diff
          by={newer.by}
          rows={newer.both.map((field) => ({ field, name: words(field), mine: form.texts[field] ?? "", theirs: newer.texts[field] ?? "" }))}
          taken={newer.taken.map((f) => `${words(f)}: ${newer.texts[f] || "as the sheet says"}`)}
          onTake={(f) => form.set(f, newer.texts[f] ?? "")}
          onClose={() => setNewer(null)}
        />
      ) : null}
      <DraftNote form={form} />
      <p class="warn">
        <b>What changes about its pressure parts ends the certificate,</b> a part replaced by its like, a joint remade and a move too: until a test is passed anew, keep pressure off. Who records a
        change counts as one of its builders from then on, and may not witness its test.
      </p>
      <DifferenceFields build={build} form={form} units={typing} />
      <Effect build={build} texts={form.texts} />
      <Renewed build={build} texts={form.texts} set={form.set} />
      <TextField
        name="place"
        label="Where it stands"
        hint="Another place counts as a move."
        text={form.texts["place"] ?? ""}
        onText={(t) => form.set("place", t)}
        fault={form.fault("place")}
      />
      <TextField
        name="note"
        label="Why"
        optional
        long
        hint="Such as: the riser had to clear the new wall."
        text={form.texts["note"] ?? ""}
        onText={(t) => form.set("note", t)}
        fault={form.fault("note")}
      />
      <p class="quiet">Another material, another pipe, another relief setting, or whatever makes an answer of safety worse needs a new revision that is checked and cleared; then the machine is rebuilt to it.</p>
      <div>
        <button type="submit" aria-disabled={form.busy}>
          Record it
        </button>
      </div>
    </form>
  );
}

function Renewed({ build, texts, set }: { build: Build; texts: ChangeTexts; set: (name: string, text: string) => void }) {
  if (build.renewable.length === 0) {
    return null;
  }
  return (
    <fieldset class="renewed">
      <legend>Renewed like for like</legend>
      <p class="quiet small">The same part of the same line and rating, or a joint cut out and made again in the same way.</p>
      {build.renewable.map((at) => {
        const times = build.now.renewed[at] ?? 0;
        const name = renewName(at);
        return (
          <label key={at}>
            <input type="checkbox" id={name} name={name} checked={texts[name] === "yes"} onChange={(e) => set(name, e.currentTarget.checked ? "yes" : "")} />
            <span>
              {sayRenewed(at, build.now.input)} {times > 0 ? <span class="quiet">renewed {times === 1 ? "once" : `${times} times`} before</span> : null}
            </span>
          </label>
        );
      })}
    </fieldset>
  );
}

import { useState } from "preact/hooks";
import { Link } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useSession } from "../../api/session";
import { useForm, type Outcome } from "../../forms/form";
import { DraftNote } from "../../parts/Field/DraftNote";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { day } from "../../words";
import { buildPath } from "./fetch";
import type { ChangeProps } from "./Page";
import { buildWords, meaning, wayWords, type BuildState } from "./states";

/** StateChange says how far the machine has come, and takes it further, with a reason. */
export function StateChange(props: ChangeProps) {
  const { build } = props;
  const [chosen, setChosen] = useState<BuildState | null>(null);
  const may = build.allowed_actions.includes("change_build");
  const last = build.states[0];
  return (
    <section aria-label="State">
      <h2>State</h2>
      <p>
        <b>{buildWords[build.state]}</b>
        {last ? (
          <>
            {" "}
            since {day(last.at)}, said {last.who.name}
            {last.reason ? <>: “{last.reason}”</> : "."}
          </>
        ) : null}
      </p>
      {may ? (
        <>
          {build.ways.filter((w) => w.lacks !== "").map((w) => (
            <p class="quiet" key={w.state}>
              {wayWords[w.state]}: not now. {w.lacks}
            </p>
          ))}
          {chosen === null ? (
            <div class="row off-paper">
              {build.ways.filter((w) => w.lacks === "").map((w) => (
                <button type="button" class="second" key={w.state} onClick={() => setChosen(w.state)}>
                  {wayWords[w.state]}
                </button>
              ))}
              <Link class="do second" href={`${buildPath({ project: build.project, build: build.id })}/rebuild`}>
                Rebuild to another revision
              </Link>
            </div>
          ) : (
            <ReasonForm {...props} way={chosen} close={() => setChosen(null)} />
          )}
        </>
      ) : null}
    </section>
  );
}

function ReasonForm({ build, etag, take, again, way, close }: ChangeProps & { way: Schema<"BuildState">; close: () => void }) {
  const session = useSession();
  const [start] = useState({ reason: "" });
  const form = useForm<"reason">({
    id: `state-${build.id}-${way}`,
    account: "member" in session ? session.member.id : null,
    start,
    send: async ({ reason }): Promise<Outcome> => {
      if (reason.trim() === "") {
        return { faults: [{ field: "reason", message: "Say in a few words why, for who reads it later." }] };
      }
      const params = { path: { project: build.project, build: build.id }, header: { "If-Match": etag ?? "" } };
      const a = await ask(api.POST("/api/v1/projects/{project}/builds/{build}/state", { params, body: { state: way, reason: reason.trim() } }));
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      take(a);
      close();
      return { done: true };
    },
  });
  return (
    <form class="stack off-paper" noValidate onSubmit={form.submit} aria-label={wayWords[way]}>
      <FormSummary form={form} />
      <DraftNote form={form} />
      <p>{meaning[way]}</p>
      <TextField name="reason" label="Reason" text={form.texts.reason} onText={(t) => form.set("reason", t)} fault={form.fault("reason")} />
      <div class="row">
        <button type="submit" aria-disabled={form.busy}>
          {wayWords[way]}
        </button>
        {form.failure?.trouble?.kind === "stale" ? (
          <button type="button" class="second" onClick={again}>
            Look how it stands now
          </button>
        ) : null}
        <button type="button" class="plain" onClick={close}>
          Not now
        </button>
      </div>
    </form>
  );
}

import { useState } from "preact/hooks";
import { api, ask, type Answer } from "../../api/client";
import type { Member } from "../../api/session";
import { Dialog } from "../../parts/Dialog/Dialog";
import { TextField } from "../../parts/Field/TextField";
import { Sign } from "../../parts/Sign/Sign";
import { listed, when } from "../../words";
import { useItemDraft } from "../test/draft";
import type { Run, RunAddress } from "./fetch";

interface EndsProps {
  at: RunAddress;
  run: Run;
  member: Member;
  take: (r: Run) => void;
}

/** Ends says what was signed about a run, and takes what may be signed now: that it counts, or that it does not. */
export function Ends({ at, run, member, take }: EndsProps) {
  const may = (action: Run["allowed_actions"][number]) => run.allowed_actions.includes(action);
  const judged = run.judgement.verdict !== null;
  return (
    <section class="ends" aria-labelledby="ends-title">
      <h2 id="ends-title">Does it count?</h2>
      {run.ends.length > 0 ? (
        <ul class="signatures">
          {run.ends.map((e) => (
            <li key={e.link}>
              <b>{e.by.name}</b> {e.kind === "confirmed" ? "confirmed it" : "set it aside"}, {when(e.at)}, link {e.link} of the record{e.reason ? <>: “{e.reason}”</> : "."}
            </li>
          ))}
        </ul>
      ) : null}
      {run.state === "submitted" ? (
        <p>
          {!judged
            ? "Once the verdict stands, a steward who took no part in the run, and did not build the machine, confirms it."
            : may("confirm_run")
              ? "Look at the readings and the verdict. Confirming says that the run was done as it should be, whether the machine met its promise or not."
              : `A steward confirms it who took no part and did not build the machine. Took part: ${listed(run.took_part.map((p) => p.name))}.`}{" "}
          {run.lacking}
        </p>
      ) : null}
      {run.state === "confirmed" ? <p>It counts among what the group measured, with its marks.</p> : null}
      {run.state === "set_aside" ? <p>It is kept and shown, and counted among those that were set aside, so that nobody can drop a miss unseen.</p> : null}
      {may("confirm_run") ? (
        <div class="off-paper">
          <Sign
            name="confirm-run"
            says={`Run ${run.number} of ${run.machine} was done as it should be, and counts`}
            me={member}
            passwordOnly
            word="Confirm this run"
            sign={(_, { password }) => done(ask(api.POST("/api/v1/projects/{project}/builds/{build}/runs/{run}/confirm", { params: { path: at }, body: { password } })), take)}
          />
        </div>
      ) : null}
      {may("set_aside_run") ? <SetAside at={at} run={run} member={member} take={take} /> : null}
    </section>
  );
}

async function done(call: Promise<Answer<Run>>, take: (r: Run) => void): Promise<Answer<Run>> {
  const a = await call;
  if (a.ok) {
    take(a.data);
  }
  return a;
}

/** SetAside takes a run out of what counts, with the reason. */
function SetAside({ at, run, member, take }: EndsProps) {
  const [open, setOpen] = useState(false);
  const draft = useItemDraft(member.id, `run-aside-${at.build}-${at.run}`, {});
  const [fault, setFault] = useState("");
  const reason = (draft.texts["reason"] ?? "").trim();
  const sign = async (password: string): Promise<Answer<Run>> => {
    setFault(reason === "" ? "Say why: a run that is set aside stays to be seen, with your reason." : "");
    if (reason === "") {
      return { ok: false, trouble: { kind: "invalid", title: "The reason is missing.", detail: "", faults: [{ pointer: "/reason", code: "missing", message: "Say why it is set aside." }], reference: null, code: "local" } };
    }
    const a = await done(ask(api.POST("/api/v1/projects/{project}/builds/{build}/runs/{run}/set-aside", { params: { path: at }, body: { reason, password } })), take);
    if (a.ok) {
      draft.drop();
      setOpen(false);
    }
    return a;
  };
  return (
    <p class="off-paper">
      <button type="button" class="plain" onClick={() => setOpen(true)}>
        Set this run aside …
      </button>
      {open ? (
        <Dialog title="Set this run aside?" closeWord="Leave it as it is" onClose={() => setOpen(false)}>
          <div class="stack">
            <p>It does not count from then on. It stays to be seen with your reason, and is counted among those set aside. That the machine missed is no reason.</p>
            <TextField name="aside-reason" label="Why" long text={draft.texts["reason"] ?? ""} onText={(t) => draft.set("reason", t)} {...(fault ? { fault } : {})} />
            <Sign name="set-aside" says={`Run ${run.number} of ${run.machine} is not to count`} me={member} passwordOnly word="Set it aside" sign={(_, { password }) => sign(password)} fieldOf={(pointer) => (pointer === "/reason" ? "aside-reason" : undefined)} />
          </div>
        </Dialog>
      ) : null}
    </p>
  );
}

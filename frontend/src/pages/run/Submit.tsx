import { useState } from "preact/hooks";
import { api, ask } from "../../api/client";
import type { Trouble } from "../../api/problem";
import { draftForms } from "../../forms/drafts";
import { Dialog } from "../../parts/Dialog/Dialog";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { listed } from "../../words";
import type { Run, RunAddress } from "./fetch";
import type { Sending } from "./parcels";
import { titleOf, unread } from "./words";

interface SubmitProps {
  at: RunAddress;
  run: Run;
  sending: Sending;
  /** How many things only this browser has. */
  unsent: number;
  take: (r: Run) => void;
}

/** Submit freezes the run and has its verdict worked out, after it has asked plainly. */
export function Submit({ at, run, sending, unsent, take }: SubmitProps) {
  const [open, setOpen] = useState(false);
  const [busy, setBusy] = useState(false);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const begun = draftForms(sending.account).filter((f) => f.startsWith(`run-${sending.build}-${sending.run}-`) && !f.endsWith("-point")).length;
  const lacking = unread(run);
  const submit = async () => {
    if (busy) {
      return;
    }
    setBusy(true);
    const { project, build, run: number } = at;
    const a = await ask(api.POST("/api/v1/projects/{project}/builds/{build}/runs/{run}/submit", { params: { path: { project, build, run: number } } }));
    setBusy(false);
    if (!a.ok) {
      setTrouble(a.trouble);
      return;
    }
    setOpen(false);
    take(a.data);
  };
  return (
    <section class="submit-run off-paper" aria-labelledby="submit-title">
      <h2 id="submit-title">When all is read</h2>
      <p>Submitting freezes the run: it is held against what was predicted, and the verdict is worked out. Let the pressure off first.</p>
      {unsent > 0 ? (
        <p class="warn">
          <b>Not yet.</b> {unsent === 1 ? "One thing is" : `${unsent} things are`} in this browser only. The run can be submitted once the notebook has all of it.
        </p>
      ) : (
        <button type="button" onClick={() => setOpen(true)}>
          Submit this run …
        </button>
      )}
      {open ? (
        <Dialog title="Submit this run?" closeWord="Not yet" onClose={() => setOpen(false)}>
          <div class="stack">
            <p>
              <b>Nothing can be added, struck or changed afterwards,</b> by nobody. What is measured later goes into another run.
            </p>
            {run.point_count === 0 || run.reading_count === 0 ? <p class="warn">Nothing is read yet, so nothing can be said of the machine.</p> : null}
            {lacking.length > 0 && run.reading_count > 0 ? (
              <p class="warn">
                It is judged by {listed(lacking.map((q) => titleOf(q).toLowerCase()))} as well, and of that nothing was read that counts: it stays undecided.
              </p>
            ) : null}
            {begun > 0 ? <p class="warn">{begun === 1 ? "One reading is" : `${begun} readings are`} typed here and not kept yet. It would be lost to this run.</p> : null}
            {trouble ? <TroubleNote trouble={trouble} /> : null}
            <button type="button" aria-disabled={busy} onClick={() => void submit()}>
              Submit it for good
            </button>
          </div>
        </Dialog>
      ) : null}
    </section>
  );
}

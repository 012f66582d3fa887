import { useState } from "preact/hooks";
import { api, ask } from "../../api/client";
import type { Trouble } from "../../api/problem";
import { useForm, type Outcome } from "../../forms/form";
import { Dialog } from "../../parts/Dialog/Dialog";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { step, type Check, type LetterAt } from "./fetch";

interface EndProps {
  account: number;
  at: LetterAt;
  etag: string | null;
  /** Called with how things stand after it; null where they must be asked for. */
  changed: (now: Check | null, etag: string | null) => void;
}

/** TakeBack returns a letter to its crew before anybody has said anything. */
export function TakeBack({ account, at, etag, changed }: EndProps) {
  const [asking, setAsking] = useState(false);
  const [busy, setBusy] = useState(false);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const take = async () => {
    if (busy) {
      return;
    }
    setBusy(true);
    const params = { path: { ...at }, header: { "If-Match": etag ?? "" } };
    const post = ask(api.POST("/api/v1/projects/{project}/designs/{design}/revisions/{letter}/take-back", { params }));
    const a = await step(at, post, (now) => now.end?.kind === "taken_back" && now.end.who.id === account);
    setBusy(false);
    if (a.ok) {
      setAsking(false);
      changed(a.data, a.etag);
      return;
    }
    setTrouble(a.trouble);
    if (a.trouble.kind === "stale") {
      changed(null, null); // the next try is made from what stands now
    }
  };
  return (
    <>
      <button type="button" class="second" onClick={() => setAsking(true)}>
        Take it back
      </button>
      {asking ? (
        <Dialog title={`Take letter ${at.letter} back?`} onClose={() => setAsking(false)} closeWord="Leave it in check">
          <p>Letter {at.letter} becomes returned and stays as it is. To go on, start the next letter with a copy. Remarks that stand open go along.</p>
          {trouble ? <TroubleNote trouble={trouble} /> : null}
          <p>
            <button type="button" aria-disabled={busy} onClick={() => void take()}>
              {busy ? "Taking it back …" : "Take it back"}
            </button>
          </p>
        </Dialog>
      ) : null}
    </>
  );
}

/** Withdraw says of a letter that was cleared that it must not be built. */
export function Withdraw(props: EndProps) {
  const [asking, setAsking] = useState(false);
  return (
    <>
      <button type="button" class="second" onClick={() => setAsking(true)}>
        Withdraw it
      </button>
      {asking ? (
        <Dialog title={`Withdraw letter ${props.at.letter}?`} onClose={() => setAsking(false)} closeWord="Leave it as it is">
          <WithdrawForm {...props} close={() => setAsking(false)} />
        </Dialog>
      ) : null}
    </>
  );
}

function WithdrawForm({ account, at, etag, changed, close }: EndProps & { close: () => void }) {
  const form = useForm({
    id: `withdraw-${at.design}-${at.letter}`,
    account,
    start: { reason: "" },
    send: async ({ reason }): Promise<Outcome> => {
      if (reason.trim() === "") {
        return { faults: [{ field: "reason", message: "Say why it must not be built: whoever built from it reads this." }] };
      }
      const params = { path: { ...at }, header: { "If-Match": etag ?? "" } };
      const post = ask(api.POST("/api/v1/projects/{project}/designs/{design}/revisions/{letter}/withdraw", { params, body: { reason } }));
      const a = await step(at, post, (now) => now.end?.kind === "withdrawn" && now.end.who.id === account);
      if (!a.ok) {
        if (a.trouble.kind === "stale") {
          changed(null, null);
        }
        return { trouble: a.trouble };
      }
      close();
      changed(a.data, a.etag);
      return { done: true };
    },
  });
  return (
    <form class="stack" noValidate onSubmit={form.submit} aria-label="Withdraw">
      <FormSummary form={form} />
      <p class="warn">
        <b>It can’t be undone.</b> Nobody may build from letter {at.letter} any more. Every machine built from it is marked, and its certificate lapses at once.
      </p>
      <TextField name="reason" label="Why it must not be built" hint="A danger found later, say. Whoever built from it reads this." long text={form.texts.reason} onText={(t) => form.set("reason", t)} fault={form.fault("reason")} />
      <button type="submit" aria-disabled={form.busy}>
        Withdraw it for good
      </button>
    </form>
  );
}

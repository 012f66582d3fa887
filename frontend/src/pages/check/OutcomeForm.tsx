import { useState } from "preact/hooks";
import { api, ask, type Answer } from "../../api/client";
import type { Member } from "../../api/session";
import { useForm } from "../../forms/form";
import { DraftNote } from "../../parts/Field/DraftNote";
import { TextField } from "../../parts/Field/TextField";
import { Sign } from "../../parts/Sign/Sign";
import { Choices } from "./Choices";
import { step, type Check, type LetterAt } from "./fetch";
import { holds, sayOpen } from "./say";

interface OutcomeFormProps {
  me: Pick<Member, "id" | "name">;
  at: LetterAt;
  check: Check;
  etag: string | null;
  /** Called with how things stand after it; null where they must be asked for. */
  changed: (now: Check | null, etag: string | null) => void;
}

const choices = [
  {
    value: "clear",
    words: (
      <>
        <b>Clear</b>: I went through inputs, drawing and answers, and this may be built as drawn.
      </>
    ),
  },
  {
    value: "return",
    words: (
      <>
        <b>Return</b>: the crew must change it. One return is enough.
      </>
    ),
  },
];

const noReason = "Say why it goes back, so that the crew can mend it.";

/** OutcomeForm is where a checker says clear or return, signed with the password. What is typed is kept until it is signed, but for the password. */
export function OutcomeForm({ me, at, check, etag, changed }: OutcomeFormProps) {
  const form = useForm({ id: `outcome-${at.design}-${at.letter}`, account: me.id, start: { outcome: "", note: "" }, send: () => Promise.resolve({ done: true }) });
  const { outcome, note } = form.texts;
  const [asked, setAsked] = useState(false);
  const lacksReason = outcome === "return" && note.trim() === "";
  const sign = async (password: string): Promise<Answer<unknown>> => {
    setAsked(true);
    if (lacksReason) {
      return { ok: false, trouble: { kind: "invalid", title: "One thing needs another look. Nothing was signed.", detail: noReason, faults: [], reference: null, code: "" } };
    }
    const said = outcome === "clear" ? ("clear" as const) : ("return" as const);
    const params = { path: { ...at }, header: { "If-Match": etag ?? "" } };
    const post = ask(api.POST("/api/v1/projects/{project}/designs/{design}/revisions/{letter}/outcomes", { params, body: { outcome: said, note, password } }));
    const a = await step(at, post, (now) => now.outcomes.some((o) => o.who.id === me.id && o.outcome === said));
    if (a.ok) {
      form.startOver();
      changed(a.data, a.etag);
      return a;
    }
    if (a.trouble.kind !== "stale") {
      return a;
    }
    changed(null, null);
    return { ok: false, trouble: { ...a.trouble, title: "Something happened to this letter while you read.", detail: "It stands above as it is now. Look at it, then sign again: your words are kept." } };
  };
  return (
    <div class="stack">
      <DraftNote form={form} />
      <Choices name="outcome" legend="What do you say about it?" choices={choices} chosen={outcome} onPick={(o) => form.set("outcome", o)} />
      {outcome === "" ? null : (
        <>
          {holds(check.open_remarks) && outcome === "clear" ? <p>{sayOpen(check.open_remarks)} You may say clear now; the letter is cleared once the stoppers and queries are laid to rest.</p> : null}
          <TextField
            name="note"
            label={outcome === "return" ? "Why it goes back" : "Anything to say with it"}
            long
            text={note}
            onText={(t) => form.set("note", t)}
            fault={asked && lacksReason ? noReason : undefined}
            optional={outcome !== "return"}
          />
          {outcome === "clear" ? (
            <p class="warn">
              <b>Clear is no permit.</b> It says that another member went through the sheet. Local codes and licensed practice go first, and before any pressure stands a test.
            </p>
          ) : null}
          <Sign
            key={outcome}
            name="outcome-sign"
            says={`I ${outcome} letter ${at.letter}. It can’t be taken back, and stands on the record with my name.`}
            me={me}
            passwordOnly
            word={outcome === "clear" ? "Sign: clear" : "Sign: return"}
            sign={(_, proof) => sign(proof.password)}
          />
        </>
      )}
    </div>
  );
}

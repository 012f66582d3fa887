import { useState } from "preact/hooks";
import { ask, open } from "../../api/client";
import { signedIn } from "../../api/session";
import { useForm, type Outcome } from "../../forms/form";
import { accountOf, noAccount, passwordNote, type NewAccount } from "../../parts/Entrance/account";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import "./page.css";

/** SetupPage makes the first keeper of a new notebook, once. */
export function SetupPage() {
  const [start] = useState(noAccount);
  const form = useForm({ id: "set-up", account: null, start, send: makeKeeper });
  const bind = (field: keyof NewAccount) => ({
    name: field,
    text: form.texts[field],
    onText: (t: string) => form.set(field, t),
    fault: form.fault(field),
  });
  return (
    <PageFrame title="A new notebook">
      <p>
        Nobody keeps this notebook yet. The first keeper lets the others in, looks after backups, and gets no right to sign anything by
        it. This page works once.
      </p>
      <form class="stack setup" noValidate onSubmit={form.submit} aria-label="First keeper">
        <FormSummary form={form} />
        <TextField
          {...bind("code")}
          label="One-time code"
          hint="The server printed it when it started: three groups of four. It is good for 24 hours; “leat user keeper-code” makes a new one."
        />
        <TextField {...bind("name")} label="Your name" hint="As it shall stand under what you write and sign." autocomplete="name" />
        <TextField {...bind("address")} label="E-mail address" hint="You sign in with it." type="email" autocomplete="username" />
        <TextField
          {...bind("password")}
          label="Password"
          hint="12 to 128 characters. A few unrelated words do well; nothing else is asked of it, but the common ones are refused."
          type="password"
          autocomplete="new-password"
          note={passwordNote(form.texts.password)}
        />
        <div>
          <button type="submit" aria-disabled={form.busy}>
            Make me the keeper
          </button>
        </div>
      </form>
    </PageFrame>
  );
}

async function makeKeeper(texts: NewAccount): Promise<Outcome> {
  const made = accountOf(texts, "Type the one-time code that the server printed.");
  if ("faults" in made) {
    return made;
  }
  const a = await ask(open.POST("/api/v1/setup/keeper", made));
  if (!a.ok) {
    return { trouble: a.trouble };
  }
  signedIn(a.data);
  return { done: true };
}

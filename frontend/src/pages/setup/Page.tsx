import { useState } from "preact/hooks";
import { ask, open } from "../../api/client";
import { signedIn } from "../../api/session";
import { useForm, type Outcome } from "../../forms/form";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import "./page.css";

const empty = { code: "", name: "", address: "", password: "" };

/** SetupPage makes the first keeper of a new notebook, once. */
export function SetupPage() {
  const [start] = useState(empty);
  const form = useForm({ id: "set-up", account: null, start, send: makeKeeper });
  const bind = (field: keyof typeof empty) => ({
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

/** passwordNote counts along while a password is still too short or has grown too long. */
export function passwordNote(password: string): string {
  const n = Array.from(password).length;
  if (n === 0) {
    return "";
  }
  if (n < 12) {
    return `${n} of at least 12 characters`;
  }
  return n > 128 ? `${n} characters: at most 128 are taken` : `${n} characters: long enough`;
}

async function makeKeeper(texts: typeof empty): Promise<Outcome> {
  const missing: Record<keyof typeof empty, string> = {
    code: "Type the one-time code that the server printed.",
    name: "Type your name.",
    address: "Type your e-mail address.",
    password: "Choose a password of 12 to 128 characters.",
  };
  const faults = (["code", "name", "address", "password"] as const)
    .filter((f) => texts[f].trim() === "")
    .map((f) => ({ field: f, message: missing[f] }));
  if (faults.length > 0) {
    return { faults };
  }
  const body = { code: texts.code.trim(), name: texts.name.trim(), address: texts.address.trim(), password: texts.password };
  const a = await ask(open.POST("/api/v1/setup/keeper", { body }));
  if (!a.ok) {
    return { trouble: a.trouble };
  }
  signedIn(a.data);
  return { done: true };
}

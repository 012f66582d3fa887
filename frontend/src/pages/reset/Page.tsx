import { useState } from "preact/hooks";
import { useLocation } from "wouter-preact";
import { ask, open } from "../../api/client";
import { signedIn } from "../../api/session";
import { useForm } from "../../forms/form";
import { Entrance } from "../../parts/Entrance/Entrance";
import { useCode } from "../../parts/Entrance/code";
import { passwordNote } from "../../parts/Entrance/account";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { PageFrame } from "../../parts/PageFrame/PageFrame";

/** ResetPage sets a new password with a code from a keeper. */
export default function ResetPage() {
  return (
    <PageFrame title="Set a new password">
      <Entrance what="A code for a new password is for somebody who can’t sign in.">
        <ResetForm />
      </Entrance>
    </PageFrame>
  );
}

function ResetForm() {
  const [, go] = useLocation();
  const [start] = useState({ code: "", password: "" });
  const form = useForm({
    id: "reset",
    account: null,
    start,
    send: async ({ code, password }) => {
      const faults = [
        ...(code.trim() === "" ? [{ field: "code", message: "Type the code that a keeper gave you." }] : []),
        ...(password === "" ? [{ field: "password", message: "Choose a password of 12 to 128 characters." }] : []),
      ];
      if (faults.length > 0) {
        return { faults };
      }
      const a = await ask(open.POST("/api/v1/password-reset", { body: { code: code.trim(), password } }));
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      go("/", { replace: true });
      signedIn(a.data);
      return { done: true };
    },
  });
  useCode((code) => form.set("code", code));
  return (
    <>
      <p>A keeper of your group gave you a code. With it you set a new password and are signed in here; every other device is signed out.</p>
      <form class="stack" noValidate onSubmit={form.submit} aria-label="New password">
        <FormSummary form={form} />
        <TextField
          name="code"
          label="Code from a keeper"
          hint="Three groups of four. It is good once, for 24 hours."
          text={form.texts.code}
          onText={(t) => form.set("code", t)}
          fault={form.fault("code")}
        />
        <TextField
          name="password"
          label="New password"
          hint="12 to 128 characters. A few unrelated words do well; the common ones are refused."
          type="password"
          autocomplete="new-password"
          note={passwordNote(form.texts.password)}
          text={form.texts.password}
          onText={(t) => form.set("password", t)}
          fault={form.fault("password")}
        />
        <button type="submit" aria-disabled={form.busy}>
          Set the password
        </button>
      </form>
    </>
  );
}

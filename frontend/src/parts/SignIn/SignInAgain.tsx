import { useState } from "preact/hooks";
import { ask, open } from "../../api/client";
import { notNow, signedIn, type Member } from "../../api/session";
import { useForm } from "../../forms/form";
import { Dialog } from "../Dialog/Dialog";
import { FormSummary } from "../Field/FormSummary";
import { TextField } from "../Field/TextField";

/** SignInAgain asks for the password over the page as it stands; what was being sent goes out after it. */
export function SignInAgain({ member }: { member: Member }) {
  const [start] = useState({ password: "" });
  const form = useForm({
    id: "again",
    account: null,
    start,
    send: async ({ password }) => {
      const a = await ask(open.POST("/api/v1/session", { body: { address: member.address, password } }));
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      signedIn(a.data);
      return { done: true };
    },
  });
  return (
    <Dialog title="Please sign in again" closeWord="Not now, keep the page as it is" onClose={notNow}>
      <form class="stack" noValidate onSubmit={form.submit}>
        <FormSummary form={form} />
        <p>
          The session of {member.name} has ended. Everything on the page is kept, and what you were sending goes out after this.
        </p>
        <input type="hidden" name="username" autocomplete="username" value={member.address} />
        <TextField
          name="password"
          label={`Password of ${member.address}`}
          type="password"
          autocomplete="current-password"
          text={form.texts.password}
          onText={(t) => form.set("password", t)}
          fault={form.fault("password")}
        />
        <button type="submit" aria-disabled={form.busy}>
          Sign in and go on
        </button>
      </form>
    </Dialog>
  );
}

import { useState } from "preact/hooks";
import { api, ask } from "../../api/client";
import { memberChanged, type Member } from "../../api/session";
import { useForm, type Outcome } from "../../forms/form";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";

const empty = { code: "", "code-password": "" };

/** SigningCode sets the code with which the member signs items of a test. */
export function SigningCode({ member }: { member: Member }) {
  const [start] = useState(empty);
  const [done, setDone] = useState(false);
  const form = useForm({
    id: "signing-code",
    account: null,
    start,
    fieldOf: (pointer) => ({ "/code": "code", "/password": "code-password" })[pointer],
    send: async (texts): Promise<Outcome> => {
      setDone(false);
      const faults = [
        ...(texts.code === "" ? [{ field: "code", message: "Type a code of six digits or more." }] : []),
        ...(texts["code-password"] === "" ? [{ field: "code-password", message: "Type your password: it proves that the code is yours." }] : []),
      ];
      if (faults.length > 0) {
        return { faults };
      }
      const a = await ask(api.PUT("/api/v1/me/signing-code", { body: { code: texts.code, password: texts["code-password"] } }));
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      setDone(true);
      memberChanged({ ...member, signing_code_set: true });
      form.startOver();
      return { done: true };
    },
  });
  return (
    <section aria-labelledby="signing-title">
      <h2 id="signing-title">Signing code</h2>
      <p>
        With it you sign the items of a pressure test, with a wet thumb, also on a colleague’s phone. {member.signing_code_set ? "You have one; a new one takes its place." : "You have none yet."}{" "}
        Outcomes, certificates and settings take your password.
      </p>
      <form class="stack" noValidate onSubmit={form.submit} aria-label="Signing code">
        <FormSummary form={form} />
        <TextField
          name="code"
          label={member.signing_code_set ? "New code" : "Code"}
          hint="Six to 20 digits, not counting up or down and not the same over and over. Keep it to yourself."
          type="password"
          digits
          text={form.texts.code}
          onText={(t) => form.set("code", t)}
          fault={form.fault("code")}
        />
        <TextField
          name="code-password"
          label="Your password"
          type="password"
          autocomplete="current-password"
          text={form.texts["code-password"]}
          onText={(t) => form.set("code-password", t)}
          fault={form.fault("code-password")}
        />
        <div class="row">
          <button type="submit" aria-disabled={form.busy}>
            {member.signing_code_set ? "Replace the code" : "Set the code"}
          </button>
          <span role="status">{done ? "Set. It counts from now on." : ""}</span>
        </div>
      </form>
    </section>
  );
}

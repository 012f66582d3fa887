import { useState } from "preact/hooks";
import { useLocation } from "wouter-preact";
import { ask, open } from "../../api/client";
import { signedIn } from "../../api/session";
import { useForm } from "../../forms/form";
import { accountOf, noAccount, passwordNote, type NewAccount } from "../../parts/Entrance/account";
import { Entrance } from "../../parts/Entrance/Entrance";
import { useCode } from "../../parts/Entrance/code";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { PageFrame } from "../../parts/PageFrame/PageFrame";

/** JoinPage makes an account with the code of an invitation. */
export default function JoinPage() {
  return (
    <PageFrame title="Join the group">
      <Entrance what="An invitation is for somebody who has no account yet.">
        <JoinForm />
      </Entrance>
    </PageFrame>
  );
}

function JoinForm() {
  const [, go] = useLocation();
  const [start] = useState(noAccount);
  const form = useForm({
    id: "join",
    account: null,
    start,
    send: async (texts) => {
      const made = accountOf(texts, "Type the code of the invitation.");
      if ("faults" in made) {
        return made;
      }
      const a = await ask(open.POST("/api/v1/invitations/accept", made));
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      go("/", { replace: true }); // the used code goes from the address too
      signedIn(a.data);
      return { done: true };
    },
  });
  useCode((code) => form.set("code", code));
  const bind = (field: keyof NewAccount) => ({ name: field, text: form.texts[field], onText: (t: string) => form.set(field, t), fault: form.fault(field) });
  return (
    <>
      <p>
        You were invited to the notebook of a group that builds machines driven by falling water. Every member reads everything in it;
        nobody outside does.
      </p>
      <form class="stack" noValidate onSubmit={form.submit} aria-label="Join">
        <FormSummary form={form} />
        <TextField {...bind("code")} label="Code of the invitation" hint="Three groups of four. It is good once, for 7 days." />
        <TextField {...bind("name")} label="Your name" hint="As it shall stand under what you write and sign." autocomplete="name" />
        <TextField {...bind("address")} label="E-mail address" hint="You sign in with it. The others don’t see it." type="email" autocomplete="username" />
        <TextField
          {...bind("password")}
          label="Password"
          hint="12 to 128 characters. A few unrelated words do well; the common ones are refused."
          type="password"
          autocomplete="new-password"
          note={passwordNote(form.texts.password)}
        />
        <button type="submit" aria-disabled={form.busy}>
          Join
        </button>
      </form>
    </>
  );
}

import { useState } from "preact/hooks";
import { useLocation } from "wouter-preact";
import { ask, open } from "../../api/client";
import { signedIn } from "../../api/session";
import { useForm } from "../../forms/form";
import { Entrance } from "../../parts/Entrance/Entrance";
import { useCode } from "../../parts/Entrance/code";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { passwordNote } from "../setup/Page";

type Texts = Record<"code" | "name" | "address" | "password", string>;

const missing: Texts = {
  code: "Type the code of the invitation.",
  name: "Type your name.",
  address: "Type your e-mail address.",
  password: "Choose a password of 12 to 128 characters.",
};

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
  const [start] = useState<Texts>({ code: "", name: "", address: "", password: "" });
  const form = useForm({
    id: "join",
    account: null,
    start,
    send: async (texts) => {
      const faults = (["code", "name", "address", "password"] as const)
        .filter((f) => texts[f].trim() === "")
        .map((f) => ({ field: f, message: missing[f] }));
      if (faults.length > 0) {
        return { faults };
      }
      const body = { code: texts.code.trim(), name: texts.name.trim(), address: texts.address.trim(), password: texts.password };
      const a = await ask(open.POST("/api/v1/invitations/accept", { body }));
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      go("/", { replace: true }); // the used code goes from the address too
      signedIn(a.data);
      return { done: true };
    },
  });
  useCode((code) => form.set("code", code));
  const bind = (field: keyof Texts) => ({ name: field, text: form.texts[field], onText: (t: string) => form.set(field, t), fault: form.fault(field) });
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

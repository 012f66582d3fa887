import { useState } from "preact/hooks";
import { Link } from "wouter-preact";
import { ask, open, type Schema } from "../../api/client";
import { signedIn } from "../../api/session";
import { useForm, type Outcome } from "../../forms/form";
import { Elevation } from "../../parts/Art/Elevation";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { DemoPeople } from "./DemoPeople";
import "./page.css";

/** SignInPage stands at every address while nobody is signed in; the asked-for page comes after it. */
export function SignInPage({ demo }: { demo: Schema<"Setup">["demo"] }) {
  const [start] = useState({ address: "", password: "" });
  const form = useForm({ id: "sign-in", account: null, start, send: signIn });
  return (
    <PageFrame title="Sign in">
      <div class="entrance">
        <div>
          {demo ? <DemoPeople people={demo.people} /> : null}
          <form class="stack" noValidate onSubmit={form.submit} aria-label="Sign in">
            <FormSummary form={form} />
            <TextField
              name="address"
              label="E-mail address"
              type="email"
              autocomplete="username"
              text={form.texts.address}
              onText={(t) => form.set("address", t)}
              fault={form.fault("address")}
            />
            <TextField
              name="password"
              label="Password"
              type="password"
              autocomplete="current-password"
              text={form.texts.password}
              onText={(t) => form.set("password", t)}
              fault={form.fault("password")}
            />
            <div>
              <button type="submit" aria-disabled={form.busy}>
                Sign in
              </button>
            </div>
          </form>
          <p class="quiet">
            A notebook of one build group for machines that falling water drives. No account yet, or the password lost? A keeper of your
            group gives you a code: then <Link href="/join">join</Link> or <Link href="/reset">set a new password</Link>.
          </p>
        </div>
        <figure class="idea">
          <Elevation />
          <figcaption class="quiet">The fall draws the air in; the depth makes its pressure.</figcaption>
        </figure>
      </div>
    </PageFrame>
  );
}

/** signIn asks the server; empty fields are said here, at once. */
export async function signIn(texts: { address: string; password: string }): Promise<Outcome> {
  const faults = [];
  if (texts.address.trim() === "") {
    faults.push({ field: "address", message: "Type your e-mail address." });
  }
  if (texts.password === "") {
    faults.push({ field: "password", message: "Type your password." });
  }
  if (faults.length > 0) {
    return { faults };
  }
  const a = await ask(open.POST("/api/v1/session", { body: { address: texts.address.trim(), password: texts.password } }));
  if (!a.ok) {
    return { trouble: a.trouble };
  }
  signedIn(a.data);
  return { done: true };
}

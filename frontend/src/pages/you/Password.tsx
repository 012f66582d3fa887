import { useState } from "preact/hooks";
import { api, ask } from "../../api/client";
import { useForm, type Outcome } from "../../forms/form";
import { passwordNote } from "../../parts/Entrance/account";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";

const empty = { present: "", new: "" };

/** Password replaces the member's own password. */
export function Password() {
  const [start] = useState(empty);
  const [changed, setChanged] = useState(false);
  const form = useForm({
    id: "password",
    account: null,
    start,
    send: async (texts): Promise<Outcome> => {
      setChanged(false);
      const faults = [
        ...(texts.present === "" ? [{ field: "present", message: "Type the password that you have now." }] : []),
        ...(texts.new === "" ? [{ field: "new", message: "Choose a new password of 12 to 128 characters." }] : []),
      ];
      if (faults.length > 0) {
        return { faults };
      }
      const a = await ask(api.PUT("/api/v1/me/password", { body: texts }));
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      setChanged(true);
      form.startOver();
      return { done: true };
    },
  });
  return (
    <section aria-labelledby="password-title">
      <h2 id="password-title">Password</h2>
      <form class="stack" noValidate onSubmit={form.submit} aria-label="Password">
        <FormSummary form={form} />
        <TextField
          name="present"
          label="Present password"
          type="password"
          autocomplete="current-password"
          text={form.texts.present}
          onText={(t) => form.set("present", t)}
          fault={form.fault("present")}
        />
        <TextField
          name="new"
          label="New password"
          hint="12 to 128 characters. A few unrelated words do well."
          type="password"
          autocomplete="new-password"
          text={form.texts.new}
          onText={(t) => form.set("new", t)}
          fault={form.fault("new")}
          note={passwordNote(form.texts.new)}
        />
        <p class="quiet small">All your other devices are signed out by it. This one stays.</p>
        <div class="row">
          <button type="submit" aria-disabled={form.busy}>
            Change the password
          </button>
          <span role="status">{changed ? "Changed. Your other devices are signed out." : ""}</span>
        </div>
      </form>
    </section>
  );
}

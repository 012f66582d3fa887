import { useState } from "preact/hooks";
import { api, ask } from "../../api/client";
import { memberChanged, useSession, type Member } from "../../api/session";
import { useForm } from "../../forms/form";
import { DraftNote } from "../../parts/Field/DraftNote";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Devices } from "./Devices";
import { Password } from "./Password";
import { SigningCode } from "./SigningCode";
import "./page.css";

const choices = [
  { value: "", name: "as the group has it" },
  { value: "metric", name: "metric workshop: m, mm, bar, L/min, °C" },
  { value: "us", name: "US customary: ft, in, psi, US gal/min, °F" },
  { value: "si", name: "SI: m, Pa, m³/s" },
] as const;

/** YouPage is the member's own account: name, units, password, and where they are signed in. */
export default function YouPage() {
  const session = useSession();
  if (session.state !== "in" && session.state !== "ended") {
    return null;
  }
  const { member } = session;
  return (
    <PageFrame title="Your account">
      <p class="quiet">
        {member.address}
        <br />
        {member.roles.join(", ")}
      </p>
      <div class="you">
        <OwnForm member={member} />
        <Password />
        <SigningCode member={member} />
        <Devices />
      </div>
    </PageFrame>
  );
}

/** ownUnits reads a choice of the form; empty is null, the group's default. */
function ownUnits(text: string): Member["own_units"] {
  return text === "metric" || text === "us" || text === "si" ? text : null;
}

function OwnForm({ member }: { member: Member }) {
  const [saved, setSaved] = useState(false);
  const form = useForm<"name" | "own_units">({
    id: "you",
    account: member.id,
    start: { name: member.name, own_units: member.own_units ?? "" },
    send: async ({ name, own_units }) => {
      const a = await ask(
        api.PATCH("/api/v1/me", {
          headers: { "Content-Type": "application/merge-patch+json" },
          body: { name: name.trim(), own_units: ownUnits(own_units) },
        }),
      );
      setSaved(a.ok);
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      memberChanged(a.data);
      return { done: true };
    },
  });
  const set = (field: "name" | "own_units", text: string) => {
    setSaved(false);
    form.set(field, text);
  };
  return (
    <section aria-labelledby="own-title">
      <h2 id="own-title">Name and units</h2>
      <form class="stack" noValidate onSubmit={form.submit} aria-label="Name and units">
        <FormSummary form={form} />
        <DraftNote form={form} />
        <TextField
          name="name"
          label="Name"
          hint="As it stands under what you write, what you wrote before too."
          autocomplete="name"
          text={form.texts.name}
          onText={(t) => set("name", t)}
          fault={form.fault("name")}
        />
        <fieldset class="grounds">
          <legend>Show and take quantities in</legend>
          {choices.map((c) => (
            <label key={c.value}>
              <input
                type="radio"
                name="own_units"
                value={c.value}
                checked={form.texts.own_units === c.value}
                onChange={() => set("own_units", c.value)}
              />
              {c.name}
            </label>
          ))}
        </fieldset>
        <div class="row">
          <button type="submit" aria-disabled={form.busy}>
            Save
          </button>
          <span role="status">{saved ? "Saved." : ""}</span>
        </div>
      </form>
    </section>
  );
}

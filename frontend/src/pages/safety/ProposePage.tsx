import { useState } from "preact/hooks";
import { useLocation } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { useForm, type Outcome } from "../../forms/form";
import { DraftNote } from "../../parts/Field/DraftNote";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { NumberWithUnit } from "../../parts/NumberWithUnit/NumberWithUnit";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";
import { unitsIn, useUnits } from "../../system";
import { fetchSafety } from "./Page";
import { always, fieldOf, groups, settingsOf, textsOf, type Field } from "./settings";
import "./page.css";

type Safety = Schema<"Safety">;

/** ProposePage is where a keeper proposes other safety settings. */
export default function ProposePage({ account }: { account: number }) {
  const { loaded, again } = useLoad<Safety>(fetchSafety, []);
  return (
    <PageFrame
      title="Propose other safety settings"
      trail={[
        { href: "/group", name: "Group" },
        { href: "/group/safety", name: "Safety settings" },
      ]}
    >
      {loaded.state !== "here" ? (
        <Waiting loaded={loaded} again={again} />
      ) : loaded.data.allowed_actions.includes("propose_safety") ? (
        <ProposeForm key={loaded.data.id} account={account} safety={loaded.data} />
      ) : (
        <p class="warn">Only a keeper of the group proposes safety settings. Ask one; as a member you can sign what they propose.</p>
      )}
    </PageFrame>
  );
}

function ProposeForm({ account, safety }: { account: number; safety: Safety }) {
  const [, go] = useLocation();
  const { system } = useUnits();
  const [start] = useState(() => textsOf(safety.settings, system));
  const form = useForm<Field>({
    id: `safety-${safety.id}`,
    account,
    start,
    fieldOf,
    send: async (texts, { key }): Promise<Outcome> => {
      const read = settingsOf(texts, safety.settings);
      if ("faults" in read) {
        return read;
      }
      const body = { follows: safety.id, settings: read.settings, why: texts.why, client_key: key };
      const a = await ask(api.POST("/api/v1/group/safety", { body }));
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      go("/group/safety");
      return { done: true };
    },
  });
  const units = unitsIn(form.texts.units);
  const bound = (name: string) => safety.bounds.find((b) => b.name === name)?.words ?? "";
  return (
    <form class="stack safety-form" noValidate onSubmit={form.submit} aria-label="Safety settings">
      <FormSummary form={form} />
      <DraftNote form={form} />
      {groups.map((g) => (
        <fieldset key={g.title} class="stack">
          <legend>{g.title}</legend>
          {g.settings.map((s) => (
            <NumberWithUnit
              key={s.name}
              name={s.name}
              label={s.label}
              hint={`${s.about} May be set ${bound(s.name)}.`}
              text={form.texts[s.name]}
              onText={(t) => form.set(s.name, t)}
              fault={form.fault(s.name)}
              unit={s.unit(units)}
              brief
            />
          ))}
          {g.settings.some((s) => s.name === "gas_floor_m") ? (
            <label class="tick">
              <input type="checkbox" checked={form.texts.gas_floor_always === "true"} onChange={(e) => form.set("gas_floor_always", String(e.currentTarget.checked))} />
              <span>
                {always.label}
                <span class="small quiet">{always.about}</span>
              </span>
            </label>
          ) : null}
        </fieldset>
      ))}
      <TextField name="why" label="Why" hint="Who signs reads it, and it stays on the record." long text={form.texts.why} onText={(t) => form.set("why", t)} fault={form.fault("why")} />
      <p class="quiet">Nothing changes yet: a steward and a second member sign first. You may be one of them.</p>
      <button type="submit" aria-disabled={form.busy}>
        Propose it
      </button>
    </form>
  );
}

import { useState } from "preact/hooks";
import { useLocation } from "wouter-preact";
import { api, ask } from "../../api/client";
import { useForm, type Outcome } from "../../forms/form";
import { DraftNote } from "../../parts/Field/DraftNote";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { setPath } from "./fetch";

/** Propose asks what the runs that count say of the coefficients. */
export function Propose({ account }: { account: number }) {
  const [, go] = useLocation();
  const [start] = useState({ why: "" });
  const form = useForm<"why">({
    id: "set-propose",
    account,
    start,
    send: async ({ why }, { key }): Promise<Outcome> => {
      const a = await ask(api.POST("/api/v1/coefficient-sets", { body: { why, client_key: key } }));
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      go(setPath(a.data.number));
      return { done: true };
    },
  });
  return (
    <form class="stack" noValidate onSubmit={form.submit} aria-label="Propose a set">
      <FormSummary form={form} />
      <DraftNote form={form} />
      <TextField name="why" label="Why" hint="What was measured since, and what you hope for. The steward reads it, and it stays on the record." long text={form.texts.why} onText={(t) => form.set("why", t)} fault={form.fault("why")} />
      <p class="quiet">Nothing changes by that: it is worked out what the runs say, and a steward who is not you looks at it before it counts.</p>
      <button type="submit" aria-disabled={form.busy}>
        Propose it
      </button>
    </form>
  );
}

import { useState } from "preact/hooks";
import { useLocation } from "wouter-preact";
import { api, ask } from "../../api/client";
import { useForm, type Outcome } from "../../forms/form";
import { DraftNote } from "../../parts/Field/DraftNote";
import { FormSummary } from "../../parts/Field/FormSummary";
import { Field } from "../../parts/Field/Field";
import { TextField } from "../../parts/Field/TextField";
import { NumberWithUnit } from "../../parts/NumberWithUnit/NumberWithUnit";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { useUnits } from "../../system";
import { flowUnits } from "../site/facts";
import { preferFlow, preferredFlow } from "../site/preferred";
import { bodyOf, fieldOf, flowUnitOf, today, type GaugingField } from "./facts";

/** GaugingPage records a gauging of a site's flow. */
export function GaugingPage({ account, project }: { account: number; project: number }) {
  const [, go] = useLocation();
  const site = `/projects/${project}/site`;
  const units = useUnits();
  const [start] = useState({ flow: "", flow_unit: preferredFlow(units.system), half: "", day: today(), how: "", note: "" });
  const form = useForm<GaugingField>({
    id: `gauging-${project}`,
    account,
    start,
    fieldOf,
    send: async (texts, { key }): Promise<Outcome> => {
      const made = bodyOf(texts, key);
      if ("faults" in made) {
        return made;
      }
      const a = await ask(api.POST("/api/v1/projects/{project}/site/gaugings", { params: { path: { project } }, body: made.body }));
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      go(site, { replace: true });
      return { done: true };
    },
  });
  const text = (field: GaugingField) => ({ text: form.texts[field], onText: (t: string) => form.set(field, t), fault: form.fault(field) });
  const unit = flowUnitOf(form.texts);
  return (
    <PageFrame
      title="Record a gauging"
      trail={[
        { href: "/projects", name: "Projects" },
        { href: `/projects/${project}`, name: "Project" },
        { href: site, name: "The site" },
      ]}
    >
      <p>A gauging that was recorded is kept as it is. A slip is put right by recording the right figure: the one recorded last counts.</p>
      <p class="warn">
        <b>Drowning.</b> Gauge in pairs, from firm ground, and never in a flood.
      </p>
      <form class="stack" noValidate onSubmit={form.submit} aria-label="Gauging">
        <FormSummary form={form} />
        <DraftNote form={form} />
        <NumberWithUnit
          name="flow"
          label="Flow"
          {...text("flow")}
          unit={unit}
          units={flowUnits}
          onUnit={(u) => {
            preferFlow(u.name);
            form.set("flow_unit", u.name);
          }}
        />
        <NumberWithUnit
          name="half"
          label="Give or take"
          optional
          hint="By how much it may be off, so that 19 of 20 such gaugings would lie within."
          {...text("half")}
          unit={unit}
        />
        <Field name="day" label="Day of the gauging" optional fault={form.fault("day")}>
          {(control) => <input {...control} type="date" max={today()} value={form.texts.day} onInput={(e) => form.set("day", e.currentTarget.value)} />}
        </Field>
        <TextField name="how" label="How was it gauged?" optional hint="Such as: bucket of 10 L filled in 4.1, 4.3 and 4.2 s." {...text("how")} />
        <TextField name="note" label="Note" optional long hint="Weather before, state of the weir: what makes it comparable." {...text("note")} />
        <div>
          <button type="submit" aria-disabled={form.busy}>
            Record the gauging
          </button>
        </div>
      </form>
    </PageFrame>
  );
}

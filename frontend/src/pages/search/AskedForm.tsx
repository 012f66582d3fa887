import { useState } from "preact/hooks";
import type { ComponentChildren } from "preact";
import { api, ask, type Schema } from "../../api/client";
import { useForm, type Form, type Outcome } from "../../forms/form";
import { Field } from "../../parts/Field/Field";
import { FormSummary } from "../../parts/Field/FormSummary";
import { NumberWithUnit } from "../../parts/NumberWithUnit/NumberWithUnit";
import { otherThan, unitsIn, useUnits } from "../../system";
import { withItsUnit } from "../../tolerance";
import { flowUnits } from "../site/facts";
import { preferFlow, preferredFlow } from "../site/preferred";
import { asksAir, asksPressure, bodyOf, fieldOf, figures, startOf, wishes, wishOf, type AskedField, type AskedTexts, type FigureField } from "./asked";

interface Props {
  account: number;
  project: number | null;
  families: Schema<"SearchForm">["families"];
  site: Schema<"Site"> | null;
  onStarted: (search: string) => void;
}

/** AskedForm takes the site and the wish. What was typed stays, for the next question is mostly the same with one figure changed. */
export function AskedForm({ account, project, families, site, onStarted }: Props) {
  const units = useUnits();
  const [start] = useState(() => startOf(site, units, preferredFlow(units.system)));
  const form = useForm<AskedField>({
    id: `search-${project ?? "any"}`,
    account,
    start,
    fieldOf,
    revive: (kept) => inUnits(kept, units.system),
    send: async (texts): Promise<Outcome> => {
      const made = bodyOf(texts);
      if ("faults" in made) {
        return made;
      }
      const a = await ask(api.POST("/api/v1/searches", { body: made.body }));
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      onStarted(a.data.id);
      return { compare: true };
    },
  });
  const wish = wishOf(form.texts.wish);
  return (
    <form class="stack search" noValidate onSubmit={form.submit} aria-label="The site and the wish">
      <FormSummary form={form} />
      <div class="figures">
        <NumberWithUnit
          {...bind(form, "flow")}
          hint="What you may take in the driest month you count on, not in spring."
          unit={figures.flow.unit(form.texts)}
          units={flowUnits}
          onUnit={(u) => {
            preferFlow(u.name);
            form.set("flow_unit", u.name);
          }}
        />
        <Figure form={form} field="fall" hint="From the water surface above to the surface where the water leaves." />
        <Figure form={form} field="depth" optional hint="Below that lower surface. Empty: no hole. Deeper gives more pressure." />
        <Field name="family" label="Pipe" hint="The series that you can buy." fault={form.fault("family")}>
          {(control) => (
            <select {...control} value={form.texts.family || families[0]?.key} onChange={(e) => form.set("family", e.currentTarget.value)}>
              {families.map((f) => (
                <option key={f.key} value={f.key}>
                  {f.name}
                </option>
              ))}
            </select>
          )}
        </Field>
      </div>
      <Wishes form={form} />
      <div class="figures">
        <Figure form={form} field="gauge" optional={!asksPressure(wish)} hint="A diffuser needs the depth of water over it, and a little more: about 0.15 bar (2 psi) at 1 m." />
        <Figure form={form} field="air" optional={!asksAir(wish)} hint="As it is drawn from the open, before it is pressed together." />
      </div>
      <details>
        <summary>Temperatures and height above the sea</summary>
        <div class="figures">
          <Figure form={form} field="t_water" optional hint="Empty: 12 °C." />
          <Figure form={form} field="t_air" optional hint="Empty: 15 °C." />
          <Figure form={form} field="altitude" optional hint="Empty: at the sea." />
        </div>
      </details>
      <p class="warn">
        <b>A hole can bury who stands in it.</b> Deeper than you can climb out of, it needs shoring, and a word with who knows the ground and the local rules.
      </p>
      <div>
        <button type="submit" aria-disabled={form.busy}>
          Look for machines
        </button>
      </div>
    </form>
  );
}

function Wishes({ form }: { form: Form<AskedField> }) {
  const wish = wishOf(form.texts.wish);
  return (
    <fieldset class="wishes" id="wish" tabIndex={-1}>
      <legend>What should it be best at?</legend>
      {wishes.map((w) => (
        <label key={w.value}>
          <input type="radio" name="wish" value={w.value} checked={wish === w.value} onChange={() => form.set("wish", w.value)} />
          {w.name}
        </label>
      ))}
      <p aria-live="polite" class="quiet">
        {wishes.find((w) => w.value === wish)?.means}
      </p>
    </fieldset>
  );
}

function bind(form: Form<AskedField>, field: FigureField) {
  return { name: field, label: figures[field].label, text: form.texts[field], onText: (t: string) => form.set(field, t), fault: form.fault(field) };
}

function Figure({ form, field, hint, optional = false }: { form: Form<AskedField>; field: FigureField; hint: ComponentChildren; optional?: boolean }) {
  const other: AskedTexts = { ...form.texts, units: otherThan(unitsIn(form.texts.units)).system };
  return <NumberWithUnit {...bind(form, field)} hint={hint} optional={optional} unit={figures[field].unit(form.texts)} also={figures[field].unit(other)} />;
}

/** inUnits goes on under another system: bare numbers get the unit that they were typed in. */
function inUnits(kept: Record<string, string>, system: string): Record<string, string> {
  const was = kept["units"] ?? system;
  if (was === system) {
    return kept;
  }
  const texts = { ...kept };
  for (const f of Object.keys(figures) as FigureField[]) {
    if (f !== "flow") {
      texts[f] = withItsUnit(kept[f] ?? "", figures[f].unit({ ...(kept as AskedTexts), units: was }));
    }
  }
  return { ...texts, units: system };
}

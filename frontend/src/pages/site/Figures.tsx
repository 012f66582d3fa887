import type { ComponentChildren } from "preact";
import type { Form } from "../../forms/form";
import { TextField } from "../../parts/Field/TextField";
import { NumberWithUnit } from "../../parts/NumberWithUnit/NumberWithUnit";
import { unitNamed, type Unit } from "../../units";
import { otherThan, unitsIn } from "../../system";
import { figureFields, flowUnits, type FigureField, type InForce, type SiteField } from "./facts";
import { preferFlow } from "./preferred";
import { bind } from "./SiteForm";

const second: Partial<Record<string, Unit>> = {
  "L/s": unitNamed("flow", "L/min"),
  "L/min": unitNamed("flow", "L/s"),
  "m³/h": unitNamed("flow", "L/s"),
  "US gal/min": unitNamed("flow", "L/min"),
  "ft³/s": unitNamed("flow", "L/s"),
};

/** Figures are what is measured at a site, each with how to measure it. Once the flow is gauged, it stands among the gaugings. */
export function Figures({ form, gauged }: { form: Form<SiteField>; gauged: boolean }) {
  const piped = form.texts.source === "hose" || form.texts.source === "mains" || form.texts.static !== "";
  const flow = figureFields.flow.unit(form.texts);
  const also = second[flow.name];
  const setUnit = (u: Unit) => {
    preferFlow(u.name);
    form.set("flow_unit", u.name);
  };
  return (
    <div class="figures">
      <FigureInput form={form} field="fall" hint="From the water surface above to the surface where the water leaves. Not to the bottom of the hole." />
      {gauged ? null : (
        <>
          <NumberWithUnit
            name="flow"
            label={figureFields.flow.label}
            hint="What you may take in the driest month you count on, not in spring."
            {...bind(form, "flow")}
            unit={flow}
            units={flowUnits}
            onUnit={setUnit}
            {...(also ? { also } : {})}
          />
          <TextField
            name="gauged"
            label="How and when was the flow gauged?"
            hint="Such as: bucket of 10 L filled in 4.1, 4.3 and 4.2 s, 12 August."
            {...bind(form, "gauged")}
          />
        </>
      )}
      {piped ? (
        <FigureInput form={form} field="static" hint="What a gauge on the tap shows while nothing flows." />
      ) : null}
      <FigureInput form={form} field="t_water" hint="Cold water dissolves more of the air that is driven into it." />
      <FigureInput form={form} field="t_air" hint="Where the machine will draw it." />
      <FigureInput form={form} field="altitude" hint="From a map; it sets the pressure of the air that the machine draws." />
    </div>
  );
}

const otherwise = (texts: InForce): InForce => ({ ...texts, units: otherThan(unitsIn(texts.units)).system });

function FigureInput({ form, field, hint }: { form: Form<SiteField>; field: FigureField; hint: ComponentChildren }) {
  const f = figureFields[field];
  return <NumberWithUnit name={field} label={f.label} hint={hint} {...bind(form, field)} unit={f.unit(form.texts)} also={f.unit(otherwise(form.texts))} />;
}

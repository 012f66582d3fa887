import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import type { Form } from "../../forms/form";
import { partNames } from "../../parts/Drawing/Drawing";
import type { Part } from "../../parts/Drawing/model";
import type { Units } from "../../system";
import { applies, isFirst, mayVary, nameOf, toleranceName, type CalcField } from "./fields";
import { Input } from "./Input";

const parts: { id: string; title: string }[] = [
  { id: "site", title: "The place" },
  { id: "supply", title: "Water supply" },
  { id: "intake", title: "Intake" },
  { id: "downcomer", title: "Downcomer" },
  { id: "chamber", title: "Chamber" },
  { id: "riser", title: "Riser" },
  { id: "takeoff", title: "Air take-off" },
  { id: "wanted", title: "What you want" },
  { id: "params", title: "Coefficients you measured yourself" },
];

interface PartsProps {
  fields: CalcField[];
  /** The units that bare numbers are in. */
  units: Units;
  form: Form<string>;
  fault: (name: string) => string | undefined;
  part: Part | null;
  /** The hand is at this part's inputs. */
  onPart: (part: Part) => void;
  /** The tubes of the intake from above, as typed. */
  plan: ComponentChildren;
}

/** Parts are the inputs, part by part, in the order of the water. */
export function Parts({ part, onPart, ...with_ }: PartsProps) {
  return (
    <>
      {parts.map(({ id, title }) => (
        <fieldset key={id} id={`part-${id}`} tabIndex={-1} class={part === id ? "part chosen" : "part"} onFocusIn={() => (isDrawn(id) ? onPart(id) : undefined)}>
          <legend>{title}</legend>
          <OnePart id={id} {...with_} />
        </fieldset>
      ))}
    </>
  );
}

type OnePartProps = Omit<PartsProps, "part" | "onPart">;

function OnePart({ id, fields, units, form, fault, plan }: OnePartProps & { id: string }) {
  const [exact, setExact] = useState(false);
  const own = fields.filter((f) => isTyped(f) && groupOf(f) === id && applies(f, form.texts));
  const often = own.filter((f) => isFirst(f, form.texts));
  const seldom = own.filter((f) => !isFirst(f, form.texts));
  const open = seldom.some((f) => fault(nameOf(f.at)) ?? fault(toleranceName(f.at)));
  const input = (f: CalcField) => <Input key={f.at} f={f} units={units} form={form} fault={fault} exact={exact} />;
  return (
    <>
      {id === "chamber" ? (
        <p class="small quiet">
          <b>Air under pressure in plastic pipe stores energy</b> and throws pieces when it breaks. Local codes and licensed practice go first; nothing here is a permit.
        </p>
      ) : null}
      <div class="part-fields">{often.map(input)}</div>
      {id === "intake" ? plan : null}
      {seldom.length > 0 ? (
        <details open={open}>
          <summary>{often.length > 0 ? "Seldom needed" : "Show"}</summary>
          <div class="part-fields">{seldom.map(input)}</div>
        </details>
      ) : null}
      {exact ? <p class="hint">Half the width of what is possible, such as 2 mm or 2 %. The intervals of a saved sheet take it in.</p> : null}
      {often.some(mayVary) ? (
        <button type="button" class="plain off-paper" aria-pressed={exact} onClick={() => setExact(!exact)}>
          {exact ? "Hide the empty ± fields" : "Say how far these may be off (±)"}
        </button>
      ) : null}
    </>
  );
}

const isTyped = (f: CalcField) => f.kind === "number" || f.kind === "count" || f.kind === "choice";

const isDrawn = (id: string): id is Part => id in partNames;

const groupOf = (f: CalcField) => (f.at === "/n_parallel" ? "intake" : (f.at.split("/")[1] ?? ""));

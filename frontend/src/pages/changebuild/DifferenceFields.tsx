import { useEffect, useState } from "preact/hooks";
import type { Form } from "../../forms/form";
import { Field } from "../../parts/Field/Field";
import { NumberWithUnit } from "../../parts/NumberWithUnit/NumberWithUnit";
import { otherThan, type Units } from "../../system";
import type { Build } from "../build/fetch";
import { labelOf, unitOf } from "../sheet/fields";
import { fieldOf, nameOf, partOf, sayPlace, shownIn, writeAt, type Place } from "./differences";

interface DifferenceFieldsProps {
  build: Build;
  form: Form<string>;
  /** The units that bare numbers are in. */
  units: Units;
}

/** DifferenceFields takes what differs from the sheet: one chooses a size, level or count by its name and types what it is in the machine. */
export function DifferenceFields({ build, form, units }: DifferenceFieldsProps) {
  const input = build.now.input;
  const [focus, setFocus] = useState("");
  useEffect(() => {
    if (focus) {
      document.getElementById(focus)?.focus();
      setFocus("");
    }
  }, [focus]);
  const shown = build.may_differ.filter((p) => shownIn(form.texts).includes(p.at) || (form.texts[nameOf(p.at)] ?? "") !== "");
  const others = build.may_differ.filter((p) => !shown.includes(p));
  const show = (at: string) => {
    if (at !== "") {
      form.set("shown", [...shownIn(form.texts), at].join(" "));
      setFocus(nameOf(at));
    }
  };
  return (
    <fieldset class="stack" id="differs" tabIndex={-1}>
      <legend>What differs from sheet {`${build.now.sheet.letter}.${build.now.sheet.number}`}</legend>
      {form.fault("differs") ? <p class="warn">{form.fault("differs")}</p> : null}
      {shown.length === 0 ? <p class="quiet">Nothing: it stands as drawn.</p> : null}
      {shown.map((p) => {
        const f = fieldOf(p);
        return (
          <NumberWithUnit
            key={p.at}
            name={nameOf(p.at)}
            label={sayPlace(p, input)}
            hint={`On the sheet: ${writeAt(p, p.value, units)}. Empty: as on the sheet.`}
            text={form.texts[nameOf(p.at)] ?? ""}
            onText={(t) => form.set(nameOf(p.at), t)}
            fault={form.fault(nameOf(p.at))}
            unit={unitOf(f, units)}
            also={unitOf(f, otherThan(units))}
          />
        );
      })}
      <Field name="differ-what" label={shown.length === 0 ? "What differs?" : "What else differs?"} hint="Sizes, levels and counts. Choose one, then type what it is in the machine.">
        {(control) => (
          <select {...control} value="" onChange={(e) => show(e.currentTarget.value)}>
            <option value="">choose …</option>
            {byPart(others, build).map(([part, places]) => (
              <optgroup key={part} label={part}>
                {places.map((p) => (
                  <option key={p.at} value={p.at}>
                    {labelOf(fieldOf(p))}
                  </option>
                ))}
              </optgroup>
            ))}
          </select>
        )}
      </Field>
    </fieldset>
  );
}

function byPart(places: Place[], build: Build): [string, Place[]][] {
  const groups = new Map<string, Place[]>();
  for (const p of places) {
    const part = partOf(p.at, build.now.input);
    groups.set(part, [...(groups.get(part) ?? []), p]);
  }
  return [...groups];
}

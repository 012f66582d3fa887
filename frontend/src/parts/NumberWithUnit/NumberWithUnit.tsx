import type { ComponentChildren } from "preact";
import { understand, type Understood } from "../../typed";
import { show, type Unit } from "../../units";
import { Field, type FieldProps } from "../Field/Field";
import "./numberwithunit.css";

type NumberWithUnitProps = Omit<FieldProps, "children" | "note"> & {
  text: string;
  onText: (text: string) => void;
  /** The unit that a bare number is in. */
  unit: Unit;
  /** Other units to choose from, the present one included. */
  units?: Unit[];
  onUnit?: (unit: Unit) => void;
  /** A second unit to show what was understood in. */
  also?: Unit;
  /** A sentence about the value, shown after what was understood. */
  about?: ComponentChildren;
  /** Says nothing about a bare number, for pages with many: it is in the unit beside it. */
  brief?: boolean;
};

/**
 * NumberWithUnit takes a number as people write it, with a unit of its own if
 * they like, and says what it understood. What was typed is never rewritten.
 */
export function NumberWithUnit({ text, onText, unit, units = [], onUnit, also, about, brief = false, ...field }: NumberWithUnitProps) {
  const read = understand(text, unit);
  // What the fault already says is not said twice.
  const bare = brief && read.kind === "value" && /^[-+−\d.,\s]*$/.test(text);
  const said = bare || (field.fault && read.kind === "unclear") ? "" : understanding(read, unit, also);
  const choose = (name: string) => {
    const chosen = units.find((u) => u.name === name);
    if (chosen) {
      onUnit?.(chosen);
    }
  };
  return (
    <Field {...field} note={said || about ? <>{said} {about}</> : null}>
      {(control) => (
        <div class="number">
          <input
            {...control}
            aria-describedby={[`${field.name}-unit`, control["aria-describedby"]].filter(Boolean).join(" ")}
            type="text"
            inputMode="decimal"
            autocomplete="off"
            value={text}
            onInput={(e) => onText(e.currentTarget.value)}
          />
          {units.length > 1 ? (
            <select id={`${field.name}-unit`} aria-label={`Unit of: ${field.label}`} value={unit.name} onChange={(e) => choose(e.currentTarget.value)}>
              {units.map((u) => (
                <option key={u.name}>{u.name}</option>
              ))}
            </select>
          ) : (
            <span class="unit" id={`${field.name}-unit`}>
              {unit.name}
            </span>
          )}
        </div>
      )}
    </Field>
  );
}

/** understanding puts what a text was taken for into words; nothing for an empty one. */
export function understanding(u: Understood, unit: Unit, also?: Unit): string {
  if (u.kind === "empty") {
    return "";
  }
  if (u.kind === "unclear") {
    return u.message;
  }
  const first = show(u.base, unit, 6);
  const second = also && also.name !== unit.name ? ` = ${show(u.base, also, 4)}` : "";
  return `Understood: ${first}${second}`;
}

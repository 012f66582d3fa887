import type { ComponentChildren } from "preact";
import { understandMeasure, type Measure, type ToleranceRule } from "../../tolerance";
import { understand } from "../../typed";
import { show, spanOf, type Unit } from "../../units";
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
  /** What is typed in the tolerance's own field, and how a tolerance is read; without a rule none is taken. */
  tolerance?: string;
  rule?: ToleranceRule;
  /** A sentence about the value, shown after what was understood. */
  about?: ComponentChildren;
  /** Says nothing about a bare number, for pages with many: it is in the unit beside it. */
  brief?: boolean;
};

/**
 * NumberWithUnit takes a number as people write it, with a unit of its own if
 * they like, and says what it understood. What was typed is never rewritten.
 */
export function NumberWithUnit({ text, onText, unit, units = [], onUnit, also, tolerance = "", rule, about, brief = false, ...field }: NumberWithUnitProps) {
  const read: Measure = rule ? understandMeasure(text, tolerance, unit, rule) : { value: understand(text, unit), half: { kind: "empty" } };
  // What the fault already says is not said twice.
  const bare = brief && read.value.kind === "value" && read.value.bare && read.half.kind === "empty";
  const said = bare || (field.fault && read.value.kind === "unclear") ? "" : understanding(read, unit, also);
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
export function understanding({ value, half }: Measure, unit: Unit, also?: Unit): string {
  if (value.kind === "unclear") {
    return value.message;
  }
  const within = (u: Unit) => (half.kind === "value" ? ` ± ${show(half.base, spanOf(u), 3)}` : "");
  if (value.kind === "empty") {
    return within(unit) && `Understood: the usual value${within(unit)}`;
  }
  const written = (u: Unit, digits: number) => show(value.base, u, digits) + within(u);
  const second = also && also.name !== unit.name ? ` = ${written(also, value.unit.name === also.name ? 6 : 4)}` : "";
  return `Understood: ${written(unit, value.unit.name === unit.name ? 6 : 4)}${second}`;
}

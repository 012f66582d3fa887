import type { ComponentChildren } from "preact";
import { Field } from "../../parts/Field/Field";

export interface Option {
  value: string;
  says: string;
}

interface ChoiceProps {
  name: string;
  label: string;
  hint?: ComponentChildren;
  fault?: string | undefined;
  optional?: boolean;
  value: string;
  options: Option[];
  onValue: (v: string) => void;
}

/** Choice is one question with answers to choose from; the empty one stands first. */
export function Choice({ value, options, onValue, ...field }: ChoiceProps) {
  return (
    <Field {...field}>
      {(control) => (
        <select {...control} value={value} onChange={(e) => onValue(e.currentTarget.value)}>
          {options.map((o) => (
            <option key={o.value} value={o.value}>
              {o.says}
            </option>
          ))}
        </select>
      )}
    </Field>
  );
}

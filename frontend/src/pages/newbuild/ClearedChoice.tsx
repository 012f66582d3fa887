import { Field } from "../../parts/Field/Field";
import type { Cleared } from "../build/fetch";

export const writeCleared = (c: Cleared) => `${c.design}.${c.letter}`;

/** chosenOf finds a cleared revision by how a form or an address writes it. */
export const chosenOf = (list: Cleared[], text: string) => list.find((c) => writeCleared(c) === text);

interface ClearedChoiceProps {
  list: Cleared[];
  label: string;
  chosen: string;
  choose: (text: string) => void;
  fault: string | undefined;
}

/** ClearedChoice chooses one of the cleared revisions. */
export function ClearedChoice({ list, label, chosen, choose, fault }: ClearedChoiceProps) {
  return (
    <Field name="revision" label={label} hint="Only cleared revisions may be built." fault={fault}>
      {(control) => (
        <select {...control} value={chosen} onChange={(e) => choose(e.currentTarget.value)}>
          <option value="">choose …</option>
          {list.map((c) => (
            <option key={writeCleared(c)} value={writeCleared(c)}>
              {c.title}, revision {c.letter}
            </option>
          ))}
        </select>
      )}
    </Field>
  );
}

import type { ComponentChildren, VNode } from "preact";
import "./field.css";

/** What a control must carry so that label, hint and fault belong to it. */
export interface ControlProps {
  id: string;
  name: string;
  "aria-describedby"?: string;
  "aria-invalid"?: "true";
}

export interface FieldProps {
  /** Unique on the page; also the id of the control, so that a summary can link to it. */
  name: string;
  label: string;
  /** What to type, and what for, said before it goes wrong. */
  hint?: ComponentChildren;
  /** What is wrong and what to do, in the same words as in the summary. */
  fault?: string | undefined;
  /** Shown under the control: what was understood, a caution. Read out when it changes. */
  note?: ComponentChildren;
  /** Said in words, not by a star. */
  optional?: boolean;
  children: (control: ControlProps) => VNode;
}

/** Field is one question: its label, hint, fault and control, tied together for every kind of reader. */
export function Field({ name, label, hint, fault, note, optional, children }: FieldProps) {
  const about = [hint ? `${name}-hint` : "", fault ? `${name}-fault` : "", note ? `${name}-note` : ""].filter(Boolean);
  const control: ControlProps = {
    id: name,
    name,
    ...(about.length > 0 ? { "aria-describedby": about.join(" ") } : {}),
    ...(fault ? { "aria-invalid": "true" as const } : {}),
  };
  return (
    <div class={fault ? "field faulty" : "field"}>
      <label for={name}>
        {label}
        {optional ? <span class="optional"> (may stay empty)</span> : null}
      </label>
      {hint ? (
        <p class="hint" id={`${name}-hint`}>
          {hint}
        </p>
      ) : null}
      {fault ? (
        <p class="fault" id={`${name}-fault`}>
          <span class="unseen">Fault: </span>
          {fault}
        </p>
      ) : null}
      {children(control)}
      <p class="note" id={`${name}-note`} aria-live="polite">
        {note}
      </p>
    </div>
  );
}

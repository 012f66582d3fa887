import { useEffect, useRef } from "preact/hooks";
import type { Trouble } from "../../api/problem";
import "./errorsummary.css";

/** One line of the summary; without a field it stands as a sentence. */
export interface Entry {
  field?: string;
  message: string;
}

export interface ErrorSummaryProps {
  /** What happened, in one sentence. */
  title: string;
  entries: Entry[];
  /** What was kept and what to do next. */
  detail?: string | undefined;
  /** To quote to whoever keeps the server. */
  reference?: string | null | undefined;
  /** Counts the tries: with each new one the focus comes here. */
  attempt: number;
}

/** ErrorSummary says after a failed try everything that is wrong, takes the focus, and leads to each field. */
export function ErrorSummary({ title, entries, detail, reference, attempt }: ErrorSummaryProps) {
  const box = useRef<HTMLDivElement>(null);
  useEffect(() => box.current?.focus(), [attempt]);
  return (
    <div class="error-summary" role="alert" tabIndex={-1} ref={box}>
      <h2>{title}</h2>
      {detail ? <p>{detail}</p> : null}
      {entries.length > 0 ? (
        <ul>
          {entries.map((e) => (
            <li key={`${e.field ?? ""} ${e.message}`}>{e.field ? <FieldLink field={e.field} message={e.message} /> : e.message}</li>
          ))}
        </ul>
      ) : null}
      {reference ? <p class="small quiet">To quote to your keeper: {reference}</p> : null}
    </div>
  );
}

function FieldLink({ field, message }: { field: string; message: string }) {
  const go = (e: Event) => {
    const control = document.getElementById(field);
    if (control) {
      e.preventDefault();
      control.focus();
      control.scrollIntoView({ block: "center" });
    }
  };
  return (
    <a href={`#${field}`} onClick={go}>
      {message}
    </a>
  );
}

/**
 * entriesOf turns the faults of a problem document into lines, each leading
 * to the field that its pointer names. fieldOf answers the id of the control
 * for a pointer, or undefined where the page has none.
 */
export function entriesOf(trouble: Trouble, fieldOf: (pointer: string) => string | undefined): Entry[] {
  return trouble.faults.map((f) => {
    const field = fieldOf(f.pointer);
    return field === undefined ? { message: f.message } : { field, message: f.message };
  });
}

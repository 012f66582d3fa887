import { useEffect, useRef } from "preact/hooks";
import "./diff.css";

/** One thing that differs: what it is, the person's text, and what the server has now. */
export interface Difference<F extends string> {
  field: F;
  name: string;
  mine: string;
  theirs: string;
}

interface DiffProps<F extends string> {
  /** Who saved first, and when, if known. */
  by: string;
  rows: Difference<F>[];
  /** What only the other one changed: in the form already. */
  taken?: string[];
  /** What else is new, in a sentence. */
  news?: string;
  onTake: (field: F) => void;
  onClose: () => void;
}

/** Diff lays the person's own texts beside what someone else saved meanwhile. Nothing of one's own is lost unless one takes theirs. */
export function Diff<F extends string>({ by, rows, taken = [], news, onTake, onClose }: DiffProps<F>) {
  const box = useRef<HTMLElement>(null);
  useEffect(() => box.current?.focus(), []);
  return (
    <section class="diff" role="alert" tabIndex={-1} ref={box} aria-label="Saved by someone else meanwhile">
      <h2>{by} saved first.</h2>
      {news ? <p>{news}</p> : null}
      {rows.length === 0 ? (
        <p>Nothing that you typed is in the way of theirs. Look it over, then save again to keep both.</p>
      ) : (
        <p>These you both changed. Yours still stands in the form: take theirs where it is right, then save again.</p>
      )}
      {taken.length > 0 ? (
        <>
          <p>These only they changed, so theirs now stands in the form:</p>
          <ul>
            {taken.map((t) => (
              <li key={t}>{t}</li>
            ))}
          </ul>
        </>
      ) : null}
      {rows.length > 0 ? <DiffTable rows={rows} onTake={onTake} /> : null}
      <button type="button" class="plain" onClick={onClose}>
        Done comparing
      </button>
    </section>
  );
}

function DiffTable<F extends string>({ rows, onTake }: Pick<DiffProps<F>, "rows" | "onTake">) {
  return (
    <table>
      <thead>
        <tr>
          <th scope="col">What</th>
          <th scope="col">Yours, not saved</th>
          <th scope="col">Theirs, saved</th>
        </tr>
      </thead>
      <tbody>
        {rows.map((r) => (
          <tr key={r.field}>
            <th scope="row">{r.name}</th>
            <td data-of="Yours, not saved">{r.mine || "empty"}</td>
            <td data-of="Theirs, saved">
              {r.theirs || "empty"}
              <button type="button" class="second" onClick={() => onTake(r.field)} aria-label={`Take theirs: ${r.name}`}>
                Take theirs
              </button>
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

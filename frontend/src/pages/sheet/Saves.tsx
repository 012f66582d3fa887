import { useState } from "preact/hooks";
import { api, ask, type Schema } from "../../api/client";
import type { Trouble } from "../../api/problem";
import { useLoad } from "../../api/load";
import { Dialog } from "../../parts/Dialog/Dialog";
import { Drawing } from "../../parts/Drawing/Drawing";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { useUnits } from "../../system";
import { when } from "../../words";
import { Answers } from "./Answers";
import type { CalcField } from "./fields";
import { InputList } from "./InputList";
import { gist } from "./say";

interface SavesProps {
  fields: CalcField[];
  project: number;
  design: number;
  letter: string;
  /** The number of the newest sheet: with a new one the list is read again. */
  newest: number;
}

/** Saves lists the kept sheets of a revision; an older one opens to be read. */
export function Saves({ fields, project, design, letter, newest }: SavesProps) {
  const units = useUnits();
  const path = { project, design, letter };
  const { loaded } = useLoad(() => ask(api.GET("/api/v1/projects/{project}/designs/{design}/revisions/{letter}/sheets", { params: { path } })), [design, newest]);
  const [open, setOpen] = useState<Schema<"Sheet"> | null>(null);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const show = async (number: number) => {
    const a = await ask(api.GET("/api/v1/projects/{project}/designs/{design}/revisions/{letter}/sheets/{number}", { params: { path: { ...path, number } } }));
    setTrouble(a.ok ? null : a.trouble);
    setOpen(a.ok ? a.data : null);
  };
  if (loaded.state !== "here" || loaded.data.items.length === 0) {
    return null;
  }
  return (
    <section class="saves off-paper" aria-label="Saved sheets">
      <h2>Saved sheets</h2>
      {trouble ? <TroubleNote trouble={trouble} /> : null}
      <ol>
        {loaded.data.items.map((s) => (
          <li key={s.number}>
            <button type="button" class="plain" onClick={() => void show(s.number)}>
              {s.letter}.{s.number}
            </button>{" "}
            {s.saved_by.name}, {when(s.saved_at)}
            {s.note ? `: ${s.note}` : ""}
          </li>
        ))}
      </ol>
      {open ? (
        <Dialog title={`Sheet ${open.letter}.${open.number}, as it was saved`} onClose={() => setOpen(null)}>
          <Drawing drawing={open.drawing} about={open.report.trompe ? gist(open.report.trompe) : "Elevation"} height={320} short write={units.write} />
          <details>
            <summary>What it was calculated from</summary>
            <InputList fields={fields} input={open.input.trompe} />
          </details>
          <Answers report={open.report} />
        </Dialog>
      ) : null}
    </section>
  );
}

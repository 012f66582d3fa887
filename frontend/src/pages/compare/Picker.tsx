import { useState } from "preact/hooks";
import { useLocation } from "wouter-preact";
import type { Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { Field } from "../../parts/Field/Field";
import { Waiting } from "../../parts/Trouble/Waiting";
import { fetchDesign } from "../sheet/Page";
import { comparePath, refOf, writeRef, type Ref } from "../sheet/refs";
import type { Side } from "./Page";

interface PickerProps {
  project: Schema<"Project">;
  left: Side;
  right: Side;
}

/** Picker chooses two other sheets of the project to compare. */
export function Picker({ project, left, right }: PickerProps) {
  const [, go] = useLocation();
  const [a, setA] = useState<Ref | null>(left.at);
  const [b, setB] = useState<Ref | null>(right.at);
  const show = (e: Event) => {
    e.preventDefault();
    if (a && b) {
      go(comparePath(project.id, a, b));
    }
  };
  return (
    <details class="picker off-paper">
      <summary>Compare other sheets</summary>
      <form class="stack" onSubmit={show} aria-label="Sheets to compare">
        <div class="pair">
          <SideChoice name="left" words="This sheet" project={project} at={left.at} onPick={setA} />
          <SideChoice name="right" words="with this one" project={project} at={right.at} onPick={setB} />
        </div>
        <button type="submit" aria-disabled={!a || !b}>
          Compare them
        </button>
      </form>
    </details>
  );
}

interface SideChoiceProps {
  name: string;
  words: string;
  project: Schema<"Project">;
  at: Ref;
  onPick: (r: Ref | null) => void;
}

function SideChoice({ name, words, project, at, onPick }: SideChoiceProps) {
  const [design, setDesign] = useState(at.design);
  const { loaded, again } = useLoad<Schema<"Design">>(() => fetchDesign({ project: project.id, design }), [design]);
  const choose = (id: number) => {
    setDesign(id);
    const newest = project.designs.find((d) => d.id === id)?.newest;
    onPick(newest ? { design: id, letter: newest.letter, number: newest.number } : null);
  };
  const refs = loaded.state === "here" ? refsOf(loaded.data) : [];
  return (
    <fieldset>
      <legend>{words}</legend>
      <Field name={`${name}-design`} label="Design">
        {(control) => (
          <select {...control} value={design} onChange={(e) => choose(Number(e.currentTarget.value))}>
            {project.designs.map((d) => (
              <option key={d.id} value={d.id}>
                {d.title}
              </option>
            ))}
          </select>
        )}
      </Field>
      {loaded.state !== "here" ? (
        <Waiting loaded={loaded} again={again} />
      ) : refs.length === 0 ? (
        <p>This design has no saved sheet yet.</p>
      ) : (
        <Field name={`${name}-sheet`} label="Sheet">
          {(control) => (
            <select {...control} onChange={(e) => onPick(refOf(e.currentTarget.value))}>
              {refs.map((r) => (
                <option key={writeRef(r)} value={writeRef(r)} selected={design === at.design ? writeRef(r) === writeRef(at) : undefined}>
                  {r.letter}.{r.number}
                </option>
              ))}
            </select>
          )}
        </Field>
      )}
    </fieldset>
  );
}

/** refsOf names all sheets of a design, the newest first. */
function refsOf(d: Schema<"Design">): Ref[] {
  return d.revisions.flatMap((r) => Array.from({ length: r.sheet_count }, (_, i) => ({ design: d.id, letter: r.letter, number: r.sheet_count - i })));
}

import { useState } from "preact/hooks";
import { useLocation } from "wouter-preact";
import type { Answer, Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { Field } from "../../parts/Field/Field";
import { Waiting } from "../../parts/Trouble/Waiting";
import { fetchLetters } from "../sheet/letters";
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
  const [pages, setPages] = useState(1);
  const { loaded, again } = useLoad(() => fetchRefs(project.id, design, pages), [design, pages]);
  const choose = (id: number) => {
    setDesign(id);
    setPages(1);
    const newest = project.designs.find((d) => d.id === id)?.newest;
    onPick(newest ? { design: id, letter: newest.letter, number: newest.number } : null);
  };
  const refs = loaded.state === "here" ? including(loaded.data.refs, design === at.design ? at : null) : [];
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
      {loaded.state === "here" && loaded.data.more ? (
        <button type="button" class="plain" onClick={() => setPages(pages + 1)}>
          Offer earlier letters too
        </button>
      ) : null}
    </fieldset>
  );
}

/** fetchRefs names the sheets of so many pages of letters of a design, the newest first. */
async function fetchRefs(project: number, design: number, pages: number): Promise<Answer<{ refs: Ref[]; more: boolean }>> {
  const refs: Ref[] = [];
  let before: number | null = null;
  for (let page = 1; ; page++) {
    const a: Answer<Schema<"RevisionList">> = await fetchLetters({ project, design }, before);
    if (!a.ok) {
      return a;
    }
    refs.push(...a.data.items.flatMap((r) => Array.from({ length: r.sheet_count }, (_, i) => ({ design, letter: r.letter, number: r.sheet_count - i }))));
    before = a.data.next;
    if (before === null || page === pages) {
      return { ...a, data: { refs, more: before !== null } };
    }
  }
}

/** including adds the sheet that is shown where its letter is too early to be among the others. */
function including(refs: Ref[], at: Ref | null): Ref[] {
  return at === null || refs.some((r) => writeRef(r) === writeRef(at)) ? refs : [...refs, at];
}

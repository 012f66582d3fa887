import { useState } from "preact/hooks";
import { Link } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { Stamp } from "../../parts/Stamp/Stamp";
import { Waiting } from "../../parts/Trouble/Waiting";
import { day, when } from "../../words";
import { fetchLetters } from "./letters";
import { checkPath, comparePath, partsPath, sheetPath, type Ref } from "./refs";
import { stateWords } from "./states";

/** Letters lists the letters of a design with their states and sheets, each to be read and compared; the earlier ones on request. */
export function Letters({ design }: { design: Schema<"Design"> }) {
  const pair = lastTwo(design);
  return (
    <section class="letters off-paper" aria-label="Letters and saved sheets">
      <h2>Letters and sheets</h2>
      {design.revisions.map((r, i) => (
        <Letter key={r.letter} project={design.project} design={design.id} revision={r} open={i === 0} />
      ))}
      {design.revisions_next !== null ? <Earlier key={design.revisions_next} project={design.project} design={design.id} before={design.revisions_next} /> : null}
      {design.sheet ? (
        <p>
          <Link class="do second" href={partsPath(design.project, { design: design.id, letter: design.sheet.letter, number: design.sheet.number })}>
            What to buy and cut for {design.sheet.letter}.{design.sheet.number}
          </Link>
        </p>
      ) : null}
      {pair ? (
        <Link class="do second" href={comparePath(design.project, ...pair)}>
          Compare two sheets
        </Link>
      ) : null}
    </section>
  );
}

/** lastTwo are the newest sheet of a design and the one before, in whatever letter. */
export function lastTwo(design: Schema<"Design">): [Ref, Ref] | null {
  const all = design.revisions.flatMap((r) => [r.sheet_count, r.sheet_count - 1].filter((n) => n > 0).map((number) => ({ design: design.id, letter: r.letter, number })));
  const [newest, before] = all;
  return newest && before ? [before, newest] : null;
}

interface EarlierProps {
  project: number;
  design: number;
  before: number;
}

/** Earlier shows a page of earlier letters once it is wanted. */
function Earlier(props: EarlierProps) {
  const [wanted, setWanted] = useState(false);
  return wanted ? (
    <EarlierPage {...props} />
  ) : (
    <button type="button" class="plain" onClick={() => setWanted(true)}>
      Show earlier letters
    </button>
  );
}

function EarlierPage({ project, design, before }: EarlierProps) {
  const { loaded, again } = useLoad(() => fetchLetters({ project, design }, before), [before]);
  if (loaded.state !== "here") {
    return <Waiting loaded={loaded} again={again} />;
  }
  return (
    <>
      {loaded.data.items.map((r) => (
        <Letter key={r.letter} project={project} design={design} revision={r} open={false} />
      ))}
      {loaded.data.next !== null ? <Earlier project={project} design={design} before={loaded.data.next} /> : null}
    </>
  );
}

function Letter({ project, design, revision: r, open }: { project: number; design: number; revision: Schema<"Revision">; open: boolean }) {
  const [shown, setShown] = useState(open);
  return (
    <details open={open} onToggle={(e) => setShown((before) => before || e.currentTarget.open)}>
      <summary>
        Letter {r.letter} <Stamp word={stateWords[r.state]} danger={r.state === "withdrawn"} />{" "}
        <span class="small quiet">
          started by {r.started_by.name}, {day(r.started_at)}
        </span>
      </summary>
      {r.sheet_count > 0 ? (
        <p>
          <Link href={checkPath(project, design, r.letter)}>{r.state === "draft" ? `Remarks on letter ${r.letter}` : `What was said about letter ${r.letter}`}</Link>
        </p>
      ) : null}
      {shown ? <Sheets project={project} design={design} letter={r.letter} count={r.sheet_count} /> : null}
    </details>
  );
}

interface SheetsProps {
  project: number;
  design: number;
  letter: string;
  /** How many there are: with a new one the list is read again. */
  count: number;
}

const pageOf = 20;

function Sheets({ project, design, letter, count }: SheetsProps) {
  const [limit, setLimit] = useState(pageOf);
  const params = { path: { project, design, letter }, query: { limit: Math.min(limit, 100) } };
  const { loaded, again } = useLoad(() => ask(api.GET("/api/v1/projects/{project}/designs/{design}/revisions/{letter}/sheets", { params })), [count, limit]);
  if (count === 0) {
    return <p class="quiet">No sheet is saved under this letter yet.</p>;
  }
  if (loaded.state !== "here") {
    return <Waiting loaded={loaded} again={again} />;
  }
  return (
    <>
      <ol class="sheets">
        {loaded.data.items.map((s) => (
          <li key={s.number}>
            <Link href={sheetPath(project, { design, letter, number: s.number })}>
              {s.letter}.{s.number}
            </Link>{" "}
            <span>
              {s.saved_by.name}, {when(s.saved_at)}
              {s.note ? `: ${s.note}` : ""}
            </span>
          </li>
        ))}
      </ol>
      {loaded.data.next !== null && limit < 100 ? (
        <button type="button" class="plain" onClick={() => setLimit(100)}>
          Show earlier sheets
        </button>
      ) : null}
    </>
  );
}

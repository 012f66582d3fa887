import { useState } from "preact/hooks";
import { Link, useLocation } from "wouter-preact";
import { api, ask, type Answer, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { useSession } from "../../api/session";
import { draftForms } from "../../forms/drafts";
import { Drawing } from "../../parts/Drawing/Drawing";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Stamp } from "../../parts/Stamp/Stamp";
import { TitleBlock } from "../../parts/TitleBlock/TitleBlock";
import { Waiting } from "../../parts/Trouble/Waiting";
import type { KeptAddress } from "../../router";
import { useUnits } from "../../system";
import { when } from "../../words";
import { Answers } from "../sheet/Answers";
import { InputList, RestList } from "../sheet/InputList";
import { useNarrow } from "../sheet/narrow";
import { NextLetter } from "../sheet/NextLetter";
import { fetchDesign } from "../sheet/Page";
import { Paper } from "../sheet/Paper";
import { checkPath, comparePath, partsPath, writeRef, type Ref } from "../sheet/refs";
import { saySheet } from "../sheet/say";
import { ScaleWords } from "../sheet/ScaleWords";
import { stateWords } from "../sheet/states";
import type { Rest } from "../sheet/whole";
import { fetchSheet } from "./fetch";
import "../sheet/page.css";
import "./page.css";

interface Kept {
  sheet: Schema<"Sheet">;
  /** Of its letter. */
  state: Schema<"RevisionState">;
  design: Schema<"Design">;
  project: Schema<"Project">;
  fields: Schema<"CalcField">[];
  outputs: Schema<"CalcField">[];
  rest: Rest;
}

/** KeptSheetPage is one saved sheet to be read, as it was saved. */
export default function KeptSheetPage({ project, sheet }: KeptAddress) {
  const { loaded, again } = useLoad<Kept>(() => fetchKept(project, sheet), [project, writeRef(sheet)]);
  const here = loaded.state === "here" ? loaded.data : null;
  const trail = [
    { href: "/projects", name: "Projects" },
    { href: `/projects/${project}`, name: here?.project.title ?? "Project" },
    { href: `/projects/${project}/designs/${sheet.design}`, name: here?.design.title ?? "Design" },
  ];
  return (
    <PageFrame
      title={`Sheet ${sheet.letter}.${sheet.number}`}
      trail={trail}
      wide
      key={here ? "here" : "waiting"}
      {...(here ? { aside: <Stamp word={stateWords[here.state]} danger={here.state === "withdrawn"} /> } : {})}
    >
      {here ? <KeptSheet kept={here} at={sheet} etag={loaded.state === "here" ? loaded.etag : null} /> : <Waiting loaded={loaded} again={again} />}
    </PageFrame>
  );
}

async function fetchKept(project: number, at: Ref): Promise<Answer<Kept>> {
  const [sheet, letter, design, whole, calc, rest] = await Promise.all([
    fetchSheet(project, at),
    ask(api.GET("/api/v1/projects/{project}/designs/{design}/revisions/{letter}", { params: { path: { project, design: at.design, letter: at.letter } } })),
    fetchDesign({ project, design: at.design }),
    ask(api.GET("/api/v1/projects/{project}", { params: { path: { project } } })),
    ask(api.GET("/api/v1/calc/{family}", { params: { path: { family: "trompe" } } })),
    ask(api.GET("/api/v1/preview")),
  ]);
  for (const a of [sheet, letter, design, whole, calc, rest]) {
    if (!a.ok) {
      return a;
    }
  }
  return sheet.ok && letter.ok && design.ok && whole.ok && calc.ok && rest.ok
    ? { ...design, data: { sheet: sheet.data, state: letter.data.state, design: design.data, project: whole.data, fields: calc.data.inputs, outputs: calc.data.outputs, rest: rest.data } }
    : (sheet as Answer<Kept>);
}

function KeptSheet({ kept: { sheet, design, project, fields, outputs, rest }, at, etag }: { kept: Kept; at: Ref; etag: string | null }) {
  const units = useUnits();
  const narrow = useNarrow();
  const [scale, setScale] = useState(0);
  const [paperScale, setPaperScale] = useState(0);
  const about = saySheet(sheet.report, units) ?? "Elevation";
  return (
    <article class="sheet kept" aria-label={`Sheet ${at.letter}.${at.number}`}>
      <div class="sheet-top">
        <p>
          As it was saved: it never changes. {sheet.note ? <>“{sheet.note}”</> : null}
        </p>
        <Ways sheet={sheet} design={design} project={project} at={at} etag={etag} />
      </div>
      <section class="sheet-drawing" aria-label="Elevation">
        <Drawing drawing={sheet.drawing} about={about} height={narrow ? 340 : 460} short={narrow} write={units.write} onScale={setScale} />
        <p class="gist">{about}</p>
        <TitleBlock
          boxes={[
            { name: "project", value: project.title, wide: true },
            { name: "sheet", value: `${at.letter}.${at.number}` },
            { name: "design", value: design.title, wide: true },
            { name: "scale", value: <ScaleWords of={scale} paper={paperScale} /> },
            { name: "units", value: units.line, wide: true },
            { name: "saved", value: `${sheet.saved_by.name}, ${when(sheet.saved_at)}`, wide: true },
          ]}
        />
      </section>
      <Paper fields={fields} rest={rest} input={sheet.input} drawing={sheet.drawing} about={about} onScale={setPaperScale} />
      <section class="sheet-inputs" aria-label="Inputs">
        <h2>What it was calculated from</h2>
        {sheet.input.trompe ? <InputList fields={fields} input={sheet.input.trompe} /> : null}
        <RestList rest={rest} input={sheet.input} />
      </section>
      <section class="sheet-answers" aria-label="What it will do">
        <Answers report={sheet.report} basis={{ inputs: fields, outputs, input: sheet.input.trompe }} drawing={sheet.drawing} kept />
      </section>
    </article>
  );
}

/** Ways are what can be done with a kept sheet: go on, compare, copy. */
function Ways({ sheet, design, project, at, etag }: Omit<Kept, "state" | "fields" | "outputs" | "rest"> & { at: Ref; etag: string | null }) {
  const [, go] = useLocation();
  const session = useSession();
  const newest = design.sheet;
  const isNewest = newest?.letter === sheet.letter && newest.number === sheet.number;
  const home = `/projects/${project.id}/designs/${design.id}`;
  const frozen = design.revision.state !== "draft" && design.revision.state !== "in_check";
  const typed = "member" in session && draftForms(session.member.id).includes(`sheet-${design.id}`);
  return (
    <div class="row off-paper">
      <Link class="do second" href={partsPath(project.id, at)}>
        What to buy and cut
      </Link>
      <Link class="do second" href={checkPath(project.id, design.id, at.letter)}>
        What was said about letter {at.letter}
      </Link>
      <Link class="do second" href={home}>
        {isNewest && design.allowed_actions.includes("edit_design") ? "Go on from here" : "To the newest sheet"}
      </Link>
      {newest && !isNewest ? (
        <Link class="do second" href={comparePath(project.id, at, { design: design.id, letter: newest.letter, number: newest.number })}>
          Compare with {newest.letter}.{newest.number}
        </Link>
      ) : null}
      {project.allowed_actions.includes("edit_design") && frozen && !isNewest ? <NextLetter design={design} etag={etag} from={at} unsaved={typed} onStarted={() => go(home)} /> : null}
      {project.allowed_actions.includes("start_design") ? (
        <Link class="do second" href={`/projects/${project.id}/designs/new?from=${writeRef(at)}`}>
          Start another design with a copy
        </Link>
      ) : null}
    </div>
  );
}

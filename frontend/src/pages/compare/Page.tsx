import { useState } from "preact/hooks";
import { Link } from "wouter-preact";
import { api, ask, type Answer, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { Drawing } from "../../parts/Drawing/Drawing";
import { partNames } from "../../parts/Drawing/Handles";
import type { Part } from "../../parts/Drawing/model";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";
import type { CompareAddress } from "../../router";
import { useUnits } from "../../system";
import { listed, when } from "../../words";
import { fetchSheet } from "../kept/fetch";
import { useNarrow } from "../sheet/narrow";
import { fetchDesign } from "../sheet/Page";
import { sheetPath, writeRef, type Ref } from "../sheet/refs";
import { saySheet } from "../sheet/say";
import type { Rest } from "../sheet/whole";
import { compareAnswers } from "./answers";
import { AnswerTable, InputTable, WarningsApart } from "./Tables";
import { drawnPart, pairInputs, pairRest, type InputPair } from "./inputs";
import { Picker } from "./Picker";
import "./page.css";

/** One of the two sheets, with its design. */
export interface Side {
  sheet: Schema<"Sheet">;
  design: Schema<"Design">;
  at: Ref;
  /** What it is called here. */
  name: string;
}

interface Both {
  left: Side;
  right: Side;
  project: Schema<"Project">;
  fields: Schema<"CalcField">[];
  rest: Rest;
}

/** ComparePage lays two sheets of a project side by side: inputs, answers, drawings. */
export default function ComparePage({ project, left, right }: CompareAddress) {
  const { loaded, again } = useLoad<Both>(() => fetchBoth(project, left, right), [project, writeRef(left), writeRef(right)]);
  const here = loaded.state === "here" ? loaded.data : null;
  const trail = [
    { href: "/projects", name: "Projects" },
    { href: `/projects/${project}`, name: here?.project.title ?? "Project" },
    { href: `/projects/${project}/designs/${right.design}`, name: here?.right.design.title ?? "Design" },
  ];
  return (
    <PageFrame title="Two sheets side by side" trail={trail} wide key={here ? "here" : "waiting"}>
      {here ? <Comparison both={here} /> : <Waiting loaded={loaded} again={again} />}
    </PageFrame>
  );
}

async function fetchBoth(project: number, left: Ref, right: Ref): Promise<Answer<Both>> {
  const [a, b, da, db, whole, calc, rest] = await Promise.all([
    fetchSheet(project, left),
    fetchSheet(project, right),
    fetchDesign({ project, design: left.design }),
    fetchDesign({ project, design: right.design }),
    ask(api.GET("/api/v1/projects/{project}", { params: { path: { project } } })),
    ask(api.GET("/api/v1/calc/{family}", { params: { path: { family: "trompe" } } })),
    ask(api.GET("/api/v1/preview")),
  ]);
  if (a.ok && b.ok && da.ok && db.ok && whole.ok && calc.ok && rest.ok) {
    const name = (d: Schema<"Design">, at: Ref) => `${at.letter}.${at.number}${left.design === right.design ? "" : ` of ${d.title}`}`;
    const side = (sheet: Schema<"Sheet">, design: Schema<"Design">, at: Ref): Side => ({ sheet, design, at, name: name(design, at) });
    return { ...whole, data: { left: side(a.data, da.data, left), right: side(b.data, db.data, right), project: whole.data, fields: calc.data.inputs, rest: rest.data } };
  }
  return [a, b, da, db, whole, calc, rest].find((x) => !x.ok) as Answer<Both>;
}

function Comparison({ both: { left, right, project, fields, rest } }: { both: Both }) {
  const units = useUnits();
  const inputs = [...pairInputs(fields, left.sheet.input.trompe, right.sheet.input.trompe, units), ...pairRest(rest, left.sheet.input, right.sheet.input, units)];
  const apart = inputs.filter((p) => p.apart);
  const [part, setPart] = useState<Part | null>(null);
  return (
    <div class="compare">
      <div class="pair">
        <Head side={left} project={project.id} />
        <Head side={right} project={project.id} />
      </div>
      <Picker project={project} left={left} right={right} />
      <section aria-label="Inputs that differ">
        <h2>What was changed</h2>
        {apart.length === 0 ? <p>Both have the same inputs.</p> : <InputTable caption="Inputs that differ" pairs={apart} left={left.name} right={right.name} />}
      </section>
      <section aria-label="Answers">
        <h2>What that does</h2>
        {left.sheet.calc_version === right.sheet.calc_version ? null : (
          <p>
            They were calculated by different versions, {left.sheet.calc_version} and {right.sheet.calc_version}: some of the difference may come from that.
          </p>
        )}
        <AnswerTable rows={compareAnswers(left.sheet.report, right.sheet.report, units)} left={left.name} right={right.name} />
        <WarningsApart left={left} right={right} />
      </section>
      <section aria-label="Drawings">
        <h2>Both drawn</h2>
        <p>{sayDrawn(apart)}</p>
        <p class="off-paper" aria-live="polite">
          {part ? sayPart(part, apart, left.name, right.name) : <span class="small quiet">Choose a part in one of them to find it in the other.</span>}
        </p>
        <div class="pair">
          <Drawn side={left} part={part} onPart={setPart} />
          <Drawn side={right} part={part} onPart={setPart} />
        </div>
      </section>
      <details class="fold">
        <summary>All inputs</summary>
        <InputTable caption="All inputs" pairs={inputs} left={left.name} right={right.name} />
      </details>
    </div>
  );
}

/** sayDrawn names the parts of the drawing whose inputs differ. */
function sayDrawn(apart: InputPair[]): string {
  const parts = [...new Set(apart.flatMap((p) => drawnPart(p) ?? []))];
  return parts.length === 0 ? "Both have the same inputs for every part that is drawn." : `Inputs differ of: ${listed(parts.map((p) => partNames[p].toLowerCase()))}.`;
}

/** sayPart says what differs in one part. */
function sayPart(part: Part, apart: InputPair[], left: string, right: string): string {
  const own = apart.filter((p) => drawnPart(p) === part);
  const said = own.map((p) => `${p.words}, ${p.left || "left open"} in ${left} and ${p.right || "left open"} in ${right}`);
  return `${partNames[part]}: ${said.length === 0 ? "the same inputs in both" : said.join("; ")}.`;
}

function Head({ side: { sheet, at, name }, project }: { side: Side; project: number }) {
  const units = useUnits();
  return (
    <div>
      <p>
        <Link href={sheetPath(project, at)}>
          <b>{name}</b>
        </Link>
        <br />
        <span class="small quiet">
          {sheet.saved_by.name}, {when(sheet.saved_at)}
          {sheet.note ? `: ${sheet.note}` : ""}
        </span>
      </p>
      <p>{saySheet(sheet.report, units) ?? "No machine."}</p>
    </div>
  );
}

function Drawn({ side: { sheet, name }, part, onPart }: { side: Side; part: Part | null; onPart: (p: Part) => void }) {
  const units = useUnits();
  const narrow = useNarrow();
  return (
    <figure>
      <Drawing drawing={sheet.drawing} about={[name, saySheet(sheet.report, units)].filter(Boolean).join(": ")} height={narrow ? 340 : 460} short={narrow} write={units.write} selected={part} onSelect={onPart} />
      <figcaption>{name}</figcaption>
    </figure>
  );
}

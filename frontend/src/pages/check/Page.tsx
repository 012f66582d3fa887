import { useCallback, useEffect, useMemo, useRef, useState } from "preact/hooks";
import { Link, useLocation } from "wouter-preact";
import { api, ask, type Answer, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { useSession, type Member } from "../../api/session";
import { useOutbox } from "../../outbox/outbox";
import type { Part } from "../../parts/Drawing/model";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Stamp } from "../../parts/Stamp/Stamp";
import { Waiting } from "../../parts/Trouble/Waiting";
import { useUnits } from "../../system";
import { fetchSheet } from "../kept/fetch";
import { Answers } from "../sheet/Answers";
import { restSaidOf, saidOf } from "../sheet/InputList";
import { isLater } from "../sheet/letters";
import { NextLetter } from "../sheet/NextLetter";
import { fetchDesign } from "../sheet/Page";
import { Paper } from "../sheet/Paper";
import { goToPin, PinsHere, type Pin } from "../sheet/pins";
import { comparePath, partsPath } from "../sheet/refs";
import { saySheet } from "../sheet/say";
import { stateWords } from "../sheet/states";
import type { Rest } from "../sheet/whole";
import { Drawn } from "./Drawn";
import { TakeBack, Withdraw } from "./Ends";
import { fetchCheck, fetchRemarks, type Check, type LetterAt, type Remark } from "./fetch";
import { Inputs } from "./Inputs";
import { OutcomeForm } from "./OutcomeForm";
import { aboutRemarks } from "./outgoing";
import { named, partNamed, type Places } from "./pins";
import { PinMarkHere, PinPlaceHere } from "./PinsOfPage";
import { Raise } from "./Raise";
import { Recalculated } from "./Recalculated";
import { Remarks } from "./Remarks";
import { sayDone } from "./say";
import { Standing } from "./Standing";
import "../sheet/page.css";
import "../kept/page.css";
import "./page.css";

/** How things stand, which changes while the page is open. */
interface Now {
  check: Check;
  etag: string | null;
  remarks: Remark[];
}

/** What a check is about, which is frozen or changes seldom. */
interface Whole {
  now: Now;
  /** Null while the letter has none. */
  sheet: Schema<"Sheet"> | null;
  design: Schema<"Design">;
  project: Schema<"Project">;
  fields: Schema<"CalcField">[];
  outputs: Schema<"CalcField">[];
  rest: Rest;
}

/** CheckPage is a letter of a design before other eyes: the frozen sheet, what was said about it, and what the reader may say. */
export default function CheckPage({ project, design, letter }: LetterAt) {
  const session = useSession();
  const at = useMemo(() => ({ project, design, letter }), [project, design, letter]);
  const { loaded, again } = useLoad<Whole>(() => fetchWhole(at), [project, design, letter]);
  const [fresh, setFresh] = useState<Now | null>(null);
  const here = loaded.state === "here" ? loaded.data : null;
  const now = fresh ?? here?.now ?? null;
  const trail = [
    { href: "/projects", name: "Projects" },
    { href: `/projects/${project}`, name: here?.project.title ?? "Project" },
    { href: `/projects/${project}/designs/${design}`, name: here?.design.title ?? "Design" },
  ];
  return (
    <PageFrame
      title={`Check of letter ${letter}`}
      trail={trail}
      wide
      key={here ? "here" : "waiting"}
      {...(now ? { aside: <Stamp word={stateWords[now.check.state]} danger={now.check.state === "withdrawn"} /> } : {})}
    >
      {here && now && "member" in session ? <Checked at={at} whole={here} now={now} me={session.member} onNow={setFresh} /> : <Waiting loaded={loaded} again={again} />}
    </PageFrame>
  );
}

/** fetchNow asks how things stand. */
async function fetchNow(at: LetterAt): Promise<Answer<Now>> {
  const [check, remarks] = await Promise.all([fetchCheck(at), fetchRemarks(at, true)]);
  if (!check.ok) {
    return check;
  }
  return remarks.ok ? { ...check, data: { check: check.data, etag: check.etag, remarks: remarks.data } } : remarks;
}

async function fetchWhole(at: LetterAt): Promise<Answer<Whole>> {
  const [now, design, project, calc, rest] = await Promise.all([
    fetchNow(at),
    fetchDesign(at),
    ask(api.GET("/api/v1/projects/{project}", { params: { path: { project: at.project } } })),
    ask(api.GET("/api/v1/calc/{family}", { params: { path: { family: "trompe" } } })),
    ask(api.GET("/api/v1/preview")),
  ]);
  if (now.ok && design.ok && project.ok && calc.ok && rest.ok) {
    const whole = { now: now.data, design: design.data, project: project.data, fields: calc.data.inputs, outputs: calc.data.outputs, rest: rest.data, sheet: null };
    const number = now.data.check.issue?.sheet ?? now.data.check.sheet_count;
    if (number === 0) {
      return { ...now, data: whole };
    }
    const sheet = await fetchSheet(at.project, { design: at.design, letter: at.letter, number });
    return sheet.ok ? { ...now, data: { ...whole, sheet: sheet.data } } : sheet;
  }
  return [now, design, project, calc, rest].find((a) => !a.ok) as Answer<Whole>;
}

interface CheckedProps {
  at: LetterAt;
  whole: Whole;
  now: Now;
  me: Member;
  onNow: (now: Now) => void;
}

function Checked({ at, whole, now, me, onNow }: CheckedProps) {
  const { sheet, design, project, fields, outputs, rest } = whole;
  const { check, etag } = now;
  const units = useUnits();
  const [part, setPart] = useState<Part | null>(null);
  const [raising, setRaising] = useState<Pin | null>(null);
  const [paperScale, setPaperScale] = useState(0);
  const [said, setSaid] = useState("");
  const standing = useRef<HTMLDivElement>(null);
  const { parcels, sent } = useOutbox(me.id, aboutRemarks(at));
  const look = useCallback(() => void fetchNow(at).then((a) => (a.ok ? onNow(a.data) : undefined)), [at]);
  useEffect(() => {
    if (sent > 0) {
      look();
    }
  }, [sent]);
  const changed = (after: Check | null, version: string | null) => {
    if (after) {
      onNow({ ...now, check: after, etag: version });
      setSaid(sayDone(after, me.id));
      standing.current?.focus();
      standing.current?.scrollIntoView({ block: "start" });
    }
    look();
  };
  const open = now.remarks.filter((r) => !isLater(r.letter, at.letter));
  const inputs = sheet ? [...(sheet.input.trompe ? saidOf(fields, sheet.input.trompe, units) : []), ...restSaidOf(rest, sheet.input, units)] : [];
  const places: Places = { inputs, outputs, report: sheet?.report ?? null };
  const may = check.allowed_actions.includes("remark");
  const pins = {
    mark: (pin: Pin) => <PinMarkHere pin={pin} remarks={open} />,
    place: (pin: Pin) => <PinPlaceHere pin={pin} remarks={open} may={may} onRaise={setRaising} />,
  };
  const goTo = (pin: Pin) => {
    if (pin.kind === "part") {
      setPart(partNamed(pin.at));
    }
    goToPin(pin);
  };
  const about = (sheet ? saySheet(sheet.report, units) : null) ?? "Elevation";
  return (
    <PinsHere.Provider value={pins}>
      <article class="sheet kept check" aria-label={`Check of letter ${at.letter}`}>
        <div class="sheet-top">
          <div ref={standing} tabIndex={-1} class="standing-head">
            <p role="status">{said}</p>
            <Standing check={check} project={project} me={me} />
          </div>
          {sheet ? (
            <nav class="jumps off-paper" aria-label="On this page">
              <a href="#remarks">Remarks</a>
              <a href="#drawing">Drawing</a>
              <a href="#inputs">Inputs</a>
              <a href="#answers">Answers</a>
            </nav>
          ) : null}
          <Ways at={at} whole={whole} now={now} me={me} changed={changed} />
          {sheet ? <Recalculated check={check} places={places} /> : null}
          <Remarks account={me.id} at={at} open={open} parcels={parcels} may={may} pinOf={(r) => named(r.pin, places)} onRaise={setRaising} onGo={goTo} changed={look} />
        </div>
        {sheet ? (
          <>
            <Drawn at={at} sheet={sheet} check={check} design={design} project={project} remarks={open} paperScale={paperScale} part={part} onPart={setPart} />
            <Paper fields={fields} rest={rest} input={sheet.input} drawing={sheet.drawing} about={about} onScale={setPaperScale} />
            <section class="sheet-inputs" id="inputs" aria-label="Inputs">
              <h2>What it was calculated from</h2>
              {may ? <p class="small quiet off-paper">Open a line to leave a remark on it.</p> : null}
              <Inputs said={inputs} remarks={open} />
            </section>
            <section class="sheet-answers" id="answers" aria-label="What it will do">
              <Answers report={sheet.report} basis={{ inputs: fields, outputs, input: sheet.input.trompe }} drawing={sheet.drawing} kept />
            </section>
          </>
        ) : null}
        {check.allowed_actions.includes("check_design") ? (
          <section class="check-outcome off-paper" id="outcome" aria-labelledby="outcome-title">
            <h2 id="outcome-title">Your outcome</h2>
            <OutcomeForm me={me} at={at} check={check} etag={etag} changed={changed} />
          </section>
        ) : null}
      </article>
      {raising ? (
        <Raise
          account={me.id}
          at={at}
          pin={raising}
          onClose={() => setRaising(null)}
          onKept={(gone) => {
            setRaising(null);
            setSaid("The remark is kept.");
            if (gone) {
              look();
            }
          }}
        />
      ) : null}
    </PinsHere.Provider>
  );
}

/** Ways are what else can be done here: go to the parts of the page, take back, withdraw, go on, compare. */
function Ways({ at, whole: { sheet, design, project }, now: { check, etag }, me, changed }: Omit<CheckedProps, "onNow"> & { changed: (after: Check | null, version: string | null) => void }) {
  const [, go] = useLocation();
  const may = (action: Check["allowed_actions"][number]) => check.allowed_actions.includes(action);
  const home = `/projects/${project.id}/designs/${design.id}`;
  const here = design.revisions.findIndex((r) => r.letter === at.letter);
  const before = here < 0 ? undefined : design.revisions[here + 1];
  const newest = design.revision.letter === at.letter;
  const number = sheet?.number ?? 0;
  const end = { account: me.id, at, etag, changed };
  return (
    <div class="row off-paper">
      {may("check_design") ? (
        <a class="do" href="#outcome">
          Say clear or return
        </a>
      ) : null}
      {check.state === "draft" ? (
        <Link class="do second" href={home}>
          To the sheet
        </Link>
      ) : null}
      {newest && check.state === "returned" && project.allowed_actions.includes("edit_design") ? <NextLetter design={design} etag={etag} first onStarted={() => go(home)} /> : null}
      {before && before.sheet_count > 0 && number > 0 ? (
        <Link class="do second" href={comparePath(project.id, { design: design.id, letter: before.letter, number: before.sheet_count }, { design: design.id, letter: at.letter, number })}>
          Lay it beside letter {before.letter}
        </Link>
      ) : null}
      {number > 0 ? (
        <Link class="do second" href={partsPath(project.id, { design: design.id, letter: at.letter, number })}>
          What to buy and cut
        </Link>
      ) : null}
      {may("take_back_revision") ? <TakeBack {...end} /> : null}
      {may("withdraw_revision") ? <Withdraw {...end} /> : null}
    </div>
  );
}

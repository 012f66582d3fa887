import { useCallback, useEffect, useRef, useState } from "preact/hooks";
import { useLocation } from "wouter-preact";
import { api, ask, newKey, type Schema } from "../../api/client";
import type { Trouble } from "../../api/problem";
import { writeDraft } from "../../forms/drafts";
import { useForm, type Outcome } from "../../forms/form";
import { Diff } from "../../parts/Diff/Diff";
import { Drawing } from "../../parts/Drawing/Drawing";
import type { Part } from "../../parts/Drawing/model";
import { Plan } from "../../parts/Drawing/Plan";
import { DraftNote } from "../../parts/Field/DraftNote";
import type { Entry } from "../../parts/ErrorSummary/ErrorSummary";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { TitleBlock } from "../../parts/TitleBlock/TitleBlock";
import { unitsIn, useUnits, type Units } from "../../system";
import { listed, when } from "../../words";
import { Answers } from "./Answers";
import { inputOf, inUnits, nameOf, textsOf, valueAt, type SheetTexts } from "./fields";
import { GaugingNote } from "./GaugingNote";
import { Letters } from "./Letters";
import { newsOf, rowsOf, takenOf, type Newer } from "./meeting";
import { Frozen } from "./Frozen";
import { Issue } from "./Issue";
import { fetchDesign, type Loaded, type Saved } from "./Page";
import { useNarrow } from "./narrow";
import { Paper } from "./Paper";
import { checkPath } from "./refs";
import { ScaleWords } from "./ScaleWords";
import { Parts } from "./Parts";
import { saySheet } from "./say";
import { after, before, MachineChoice, Sections } from "./Sections";
import { startingMachine } from "./start";
import { stateWords } from "./states";
import { expand, hasTrompe, restOf, sameSheet, textOf, textsOfRest } from "./whole";
import { WholeDrawing } from "./WholeDrawing";

interface Shown {
  /** What the report was made from. */
  input: unknown;
  report: Schema<"Report">;
  drawing: Schema<"Drawing"> | null;
}

interface SheetFormProps {
  account: number;
  loaded: Loaded;
  etag: string | null;
  /** What the last save came to, to be said once. */
  said: string;
  onSaved: (saved: Saved) => void;
}

const sheetPointer = /^\/input(?:\/trompe)?(\/.+)$/;

/** SheetForm is the sheet while it is drafted: what is typed is previewed at once, and saved on request. */
export function SheetForm({ account, loaded, etag, said, onSaved }: SheetFormProps) {
  const { fields, outputs, project, rest } = loaded;
  const [design, setDesign] = useState(loaded.design);
  const [newer, setNewer] = useState<Newer | null>(null);
  const [part, setPart] = useState<Part | null>(null);
  const [scale, setScale] = useState(0);
  const units = useUnits();
  const [, go] = useLocation();
  const [issuing, setIssuing] = useState(false);
  const [typing] = useState<Units>(units); // a choice made in another tab counts from the next visit on: it must not change what is typed
  const [paperScale, setPaperScale] = useState(0);
  const address = { project: design.project, design: design.id };
  const startFrom = (sheet: Schema<"Sheet"> | null): SheetTexts => ({
    ...textsOf(fields, sheet?.input.trompe ?? startingMachine(project.site), typing),
    ...textsOfRest(rest.inputs, sheet?.input, typing),
    trompe: sheet?.input.trompe ? "yes" : "",
    gauging: String((sheet ? sheet.gauging : project.site.gauging?.id) ?? ""),
    note: "",
  });
  const [start] = useState(() => startFrom(design.sheet));
  const latest = useRef(start);

  const reload = async (): Promise<{ design: Schema<"Design">; etag: string | null } | null> => {
    const now = await fetchDesign(address);
    return now.ok ? { design: now.data, etag: now.etag } : null;
  };
  const send = async (texts: SheetTexts, { base }: { base: string | null }): Promise<Outcome> => {
    const { input, faults } = wholeOf(loaded, texts);
    if (faults.length > 0) {
      return { faults: await withOthers(faults, input) };
    }
    const path = { ...address, letter: design.revision.letter };
    const body = { input, note: texts["note"] ?? "", ...(texts["gauging"] ? { gauging: Number(texts["gauging"]) } : {}) };
    const a = await ask(
      api.POST("/api/v1/projects/{project}/designs/{design}/revisions/{letter}/sheets", { params: { path, header: { "If-Match": base ?? "" } }, body }),
    );
    if (!a.ok && a.trouble.kind !== "stale") {
      return { trouble: a.trouble };
    }
    if (a.ok) {
      finish(a.data, a.etag, texts);
      return { done: true };
    }
    const now = await reload();
    if (!now) {
      return { trouble: a.trouble };
    }
    if (now.design.sheet?.saved_by.id === account && sameSheet(now.design.sheet.input, input)) {
      finish(now.design.sheet, now.etag, texts); // the answer to an earlier try was lost on the way
      return { done: true };
    }
    const theirs = startFrom(now.design.sheet);
    const { taken, both } = form.meet(theirs, now.etag);
    setNewer({ by: now.design.sheet?.saved_by.name ?? "Someone else", texts: theirs, taken, both, news: newsOf(design, now.design) });
    setDesign(now.design);
    return { compare: true };
  };
  const fieldOf = (pointer: string) => (sheetPointer.test(pointer) ? nameOf(pointer.replace(sheetPointer, "$1")) : pointer === "/note" ? "note" : undefined);
  const formId = `sheet-${design.id}`;
  const revive = (kept: SheetTexts) => inUnits([...fields, ...expand(rest.inputs, kept)], kept, typing);
  const form = useForm<string>({ id: formId, account, start, base: etag, send, fieldOf, revive });
  latest.current = form.texts;
  const finish = (sheet: Schema<"Sheet">, version: string | null, sent: SheetTexts) => {
    const revision = { ...design.revision, sheet_count: sheet.number };
    const revisions = [revision, ...design.revisions.slice(1)];
    // A moment later: the form has dropped its draft by then.
    setTimeout(() => goOn({ ...design, revision, revisions, sheet }, version, sent, `Saved as ${sheet.letter}.${sheet.number}.`), 0);
  };
  /** Goes on from a newer state of the design, with what was typed since the texts that it holds. */
  const goOn = (now: Schema<"Design">, version: string | null, held: SheetTexts, words: string) => {
    const since = Object.entries(latest.current).filter(([name, text]) => text !== held[name]);
    const from = startFrom(now.sheet);
    if (since.length > 0) {
      writeDraft(account, formId, { values: { ...from, ...Object.fromEntries(since) }, from, base: version, key: newKey(), at: new Date().toISOString() });
    }
    onSaved({ design: now, etag: version, said: words });
  };
  const takeFlow = (g: Schema<"Gauging">) => {
    form.set("gauging", String(g.id));
    if (hasFlow) {
      form.set("supply-flow_max_m3s", textsOf(fields, { supply: { flow_max_m3s: g.flow_m3s } }, typing)["supply-flow_max_m3s"] ?? "");
    }
  };

  const { input, shown, waiting, trouble, again, unread, asSaved } = usePreview(loaded, form.texts, design.sheet);
  const liveFault = (name: string) =>
    form.fault(name) ??
    unread.find((f) => f.field === name)?.message ??
    shown?.report.faults?.find((f) => nameOf(f.at.replace(/^\/trompe/, "")) === name)?.message;
  const may = design.allowed_actions.includes("edit_design");
  const crew = project.allowed_actions.includes("edit_design");
  const frozen = design.revision.state !== "draft";
  const unsaved = Object.entries(form.texts).some(([name, text]) => text !== start[name]);
  const hasFlow = hasTrompe(form.texts) && form.texts["supply-type"] === "forebay";
  const choosePart = useCallback((p: Part) => {
    setPart(p);
    const inputs = document.getElementById(`part-${p}`);
    inputs?.focus({ preventScroll: true }); // the next press of Tab is at its first input
    inputs?.scrollIntoView({ block: "nearest" });
  }, []);
  /** Takes a text of the other person; of a list that both changed, all of it. */
  const takeTheirs = (field: string, theirs: SheetTexts) => {
    const list = /^(uses|parts)-count$/.exec(field)?.[1];
    const names = list ? Object.keys({ ...form.texts, ...theirs }).filter((name) => name.startsWith(`${list}-`)) : [field];
    for (const name of names) {
      form.set(name, theirs[name] ?? "");
    }
  };
  /** Puts what was proposed into the fields, by pointers into the input. */
  const change = useCallback(
    (set: Record<string, unknown>) => {
      const all = [...fields, ...expand(rest.inputs, latest.current)];
      for (const [pointer, value] of Object.entries(set)) {
        const at = pointer.replace(/^\/trompe/, "");
        const f = all.find((x) => x.at === at);
        form.set(nameOf(at), f ? textOf(f, value, typing) : "");
      }
    },
    [form],
  );
  const about = sayShown(shown, units);
  const narrow = useNarrow();
  const boxes = [
    { name: "project", value: project.title, wide: true },
    { name: "sheet", value: `${design.revision.letter}${design.sheet ? `.${design.sheet.number}` : ", not saved yet"}` },
    { name: "state", value: stateWords[design.revision.state] },
    { name: "scale", value: <ScaleWords of={scale} paper={paperScale} /> },
    { name: "units", value: units.line, wide: true },
    { name: "saved", value: design.sheet ? `${design.sheet.saved_by.name}, ${when(design.sheet.saved_at)}` : "not yet", wide: true },
  ];

  return (
    <>
      <form class="sheet" noValidate onSubmit={form.submit} aria-label="Design sheet">
        <div class="sheet-top">
          {narrow ? <TitleBlock boxes={boxes} /> : null}
          <FormSummary form={form} />
          {newer ? (
            <Diff
              by={newer.by}
              rows={rowsOf([...fields, ...expand(rest.inputs, newer.texts)], newer, form.texts)}
              taken={takenOf([...fields, ...expand(rest.inputs, newer.texts)], newer)}
              news={newer.news}
              onTake={(f) => takeTheirs(f, newer.texts)}
              onClose={() => setNewer(null)}
            />
          ) : null}
          <DraftNote form={form} />
          {may ? (
            <GaugingNote site={project.site} named={form.texts["gauging"] ?? ""} hasFlow={hasFlow} onTake={takeFlow} />
          ) : frozen ? (
            <Frozen
              account={account}
              design={design}
              etag={form.base}
              crew={crew}
              unsaved={unsaved}
              onStarted={(now, version) => goOn(now, version, start, `Letter ${now.revision.letter} is started.`)}
              onChanged={(state, version) => goOn(inState(design, state), version, start, "")}
            />
          ) : (
            <OnlyTrying crew={project.crew} />
          )}
          {design.sheet ? null : <p>A first machine to start from stands here, set to your site’s figures where they are known. Change what differs; nothing is saved until you say so.</p>}
        </div>
        <section class="sheet-drawing" aria-label="Elevation">
          {shown?.drawing ? (
            <Drawing drawing={shown.drawing} about={about} height={roomFor(narrow)} short={narrow} withoutPlan write={units.write} selected={part} onSelect={choosePart} onScale={setScale} />
          ) : (
            <p class="quiet">The elevation stands here as soon as the levels and bores fit together.</p>
          )}
          <p class="gist">
            {about} <a class="to-answers off-paper" href="#answers">Why, and what else</a>
          </p>
          {narrow ? null : <TitleBlock boxes={boxes} />}
        </section>
        {narrow && shown?.drawing ? <WholeDrawing drawing={shown.drawing} about={about} write={units.write} onSelect={choosePart} /> : null}
        <Paper fields={fields} rest={rest} input={input} unsaved={!asSaved} drawing={shown?.drawing ?? null} about={about} onScale={setPaperScale} />
        <section class="sheet-inputs" aria-label="Inputs, in the order of the water">
          <p class="hint">
            All levels are heights above one mark of your choice; what lies deeper is negative.
            {design.sheet ? null : " In the machine to start from, the mark is the chamber’s floor."}
          </p>
          <MachineChoice rest={rest} form={form} />
          <Sections groups={before} rest={rest} units={typing} form={form} fault={liveFault} />
          {hasTrompe(form.texts) ? <Parts fields={fields} units={typing} form={form} fault={liveFault} part={part} onPart={setPart} plan={shown?.drawing?.bundle ? <Plan bundle={shown.drawing.bundle} write={units.write} /> : null} /> : null}
          <Sections groups={after} rest={rest} units={typing} form={form} fault={liveFault} />
          {may ? (
            <div class="save">
              <TextField name="note" label="What changed, for the others" text={form.texts["note"] ?? ""} onText={(t) => form.set("note", t)} fault={form.fault("note")} optional />
              <div class="row">
                <button type="submit" aria-disabled={form.busy}>
                  Save the sheet
                </button>
                {design.sheet && design.allowed_actions.includes("issue_revision") ? (
                  <button type="button" class="second" onClick={() => setIssuing(true)}>
                    Issue for check
                  </button>
                ) : null}
              </div>
              <p class="hint">Saving makes the next sheet of letter {design.revision.letter}; issuing freezes the letter.</p>
              <p role="status">{form.busy ? "Saving …" : said}</p>
            </div>
          ) : null}
        </section>
        <section class="sheet-answers" id="answers" aria-label="What it will do" aria-busy={waiting}>
          {trouble ? <Stale trouble={trouble} again={again} /> : null}
          <Answers report={shown?.report ?? null} basis={{ inputs: fields, outputs, input: valueAt(shown?.input, "/trompe") }} drawing={shown?.drawing ?? null} onChange={may ? change : undefined} />
          <Letters design={design} />
        </section>
      </form>
      {issuing ? (
        <Issue account={account} design={design} asSaved={asSaved} onIssued={() => go(checkPath(project.id, design.id, design.revision.letter))} onClose={() => setIssuing(false)} />
      ) : null}
    </>
  );
}

/** inState is a design whose newest letter has come to another state. */
function inState(design: Schema<"Design">, state: Schema<"RevisionState">): Schema<"Design"> {
  const revision = { ...design.revision, state };
  return { ...design, revision, revisions: [revision, ...design.revisions.slice(1)] };
}

/** wholeOf makes the input of a sheet from what was typed, and lists what could not be read. */
function wholeOf({ fields, rest }: Loaded, texts: SheetTexts): { input: Schema<"SheetInput">; faults: Entry[] } {
  const others = restOf(rest, texts);
  const input = Object.assign<Schema<"SheetInput">, Record<string, unknown>>({}, others.input);
  if (!hasTrompe(texts)) {
    return { input, faults: others.faults };
  }
  const trompe = inputOf(fields, texts);
  return { input: { ...input, trompe: trompe.input }, faults: [...trompe.faults, ...others.faults] };
}

/** withOthers adds to what can't be read what the calculation finds wrong with the rest, so that all is said at once. */
async function withOthers(unread: Entry[], input: Schema<"SheetInput">): Promise<Entry[]> {
  const a = await ask(api.POST("/api/v1/preview", { body: { input } }));
  const found = (a.ok ? (a.data.report.faults ?? []) : []).map((f) => ({ field: nameOf(f.at.replace(/^\/trompe/, "")), message: f.message }));
  return [...unread, ...found.filter((f) => unread.every((u) => u.field !== f.field))];
}

function Stale({ trouble, again }: { trouble: Trouble; again: () => void }) {
  return (
    <>
      <TroubleNote trouble={trouble} again={again} />
      <p>What you typed is kept. The answers here are for what stood in the sheet before.</p>
    </>
  );
}

interface Preview {
  /** What is typed, as far as it can be read. */
  input: Schema<"SheetInput">;
  shown: Shown | null;
  waiting: boolean;
  /** Why the answers shown are not for what is typed. */
  trouble: Trouble | null;
  again: () => void;
  /** What could not be read as a number. */
  unread: Entry[];
  /** What is typed is what was saved last. */
  asSaved: boolean;
}

/**
 * usePreview calculates what is typed, a moment after the last stroke; the
 * newest answer wins. While what is typed is what was saved, the saved answer
 * stands: it has the intervals.
 */
function usePreview(loaded: Loaded, texts: SheetTexts, sheet: Schema<"Sheet"> | null): Preview {
  const saved = sheet ? { input: sheet.input, report: sheet.report, drawing: sheet.drawing } : null;
  const [shown, setShown] = useState<Shown | null>(saved);
  const [waiting, setWaiting] = useState(false);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const [attempt, setAttempt] = useState(0);
  const { input, faults } = wholeOf(loaded, texts);
  const text = JSON.stringify(input);
  const asSaved = saved !== null && faults.length === 0 && sameSheet(input, wholeOf(loaded, savedTexts(loaded, saved.input, unitsIn(texts["units"]))).input);
  useEffect(() => {
    if (asSaved) {
      setWaiting(false);
      setTrouble(null);
      setShown(saved);
      return undefined;
    }
    const stop = new AbortController();
    setWaiting(true);
    const timer = setTimeout(() => {
      void ask(api.POST("/api/v1/preview", { body: { input }, signal: stop.signal })).then((a) => {
        if (stop.signal.aborted) {
          return;
        }
        setWaiting(false);
        setTrouble(a.ok ? null : a.trouble);
        if (a.ok) {
          setShown((before) => ({ input, report: a.data.report, drawing: a.data.drawing ?? before?.drawing ?? null }));
        }
      });
    }, 300);
    return () => {
      clearTimeout(timer);
      stop.abort();
    };
  }, [text, attempt, asSaved]);
  return { input, shown, waiting, trouble, again: () => setAttempt((n) => n + 1), unread: faults, asSaved };
}

const savedTexts = ({ fields, rest }: Loaded, input: Schema<"SheetInput">, units: Units): SheetTexts => ({ ...textsOf(fields, input.trompe, units), ...textsOfRest(rest.inputs, input, units), trompe: input.trompe ? "yes" : "" });

/** OnlyTrying says to who is not on the crew what typing is good for. */
function OnlyTrying({ crew }: { crew: Schema<"Person">[] }) {
  return (
    <p class="warn">
      <b>You can try figures here, and save nothing:</b> only the crew of the project can ({listed(crew.map((c) => c.name))}). What you type stays in this browser. To
      keep a machine of your own, start a project and type it there.
    </p>
  );
}

/** sayShown says in one sentence what is drawn. */
function sayShown(shown: Shown | null, units: Units): string {
  const said = shown ? saySheet(shown.report, units) : null;
  if (said !== null) {
    return said;
  }
  return shown?.drawing ? "What is typed is no machine yet; drawn here is the last one that was." : "What is typed is no machine yet.";
}

const roomFor = (narrow: boolean) => (narrow ? Math.max(150, Math.round(innerHeight * 0.27)) : Math.max(420, innerHeight - 330));

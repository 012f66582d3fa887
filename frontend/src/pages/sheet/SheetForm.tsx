import { useCallback, useEffect, useRef, useState } from "preact/hooks";
import { api, ask, type Schema } from "../../api/client";
import { useForm, type Outcome } from "../../forms/form";
import { Diff, type Difference } from "../../parts/Diff/Diff";
import { Drawing, roundScale } from "../../parts/Drawing/Drawing";
import type { Part } from "../../parts/Drawing/model";
import { DraftNote } from "../../parts/Field/DraftNote";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { TitleBlock } from "../../parts/TitleBlock/TitleBlock";
import { when } from "../../words";
import { Answers, gist, write } from "./Answers";
import { inputOf, labelOf, nameOf, same, textsOf, type SheetTexts } from "./fields";
import { fetchDesign, type Loaded } from "./Page";
import { Parts } from "./Parts";
import { Saves } from "./Saves";
import { startingMachine } from "./start";

interface Shown {
  report: Schema<"Report">;
  drawing: Schema<"Drawing"> | null;
}

const sheetPointer = /^\/input\/trompe(\/.+)$/;

/** SheetForm is the sheet while it is drafted: what is typed is previewed at once, and saved on request. */
export function SheetForm({ account, loaded, etag }: { account: number; loaded: Loaded; etag: string | null }) {
  const { fields, project } = loaded;
  const [design, setDesign] = useState(loaded.design);
  const [newer, setNewer] = useState<SheetTexts | null>(null);
  const [part, setPart] = useState<Part | null>(null);
  const [saved, setSaved] = useState("");
  const [scale, setScale] = useState(0);
  const address = { project: design.project, design: design.id };
  const [start] = useState<SheetTexts>(() => ({ ...textsOf(fields, design.sheet?.input.trompe ?? startingMachine(project.site)), note: "" }));

  const reload = async (): Promise<{ design: Schema<"Design">; etag: string | null } | null> => {
    const now = await fetchDesign(address);
    return now.ok ? { design: now.data, etag: now.etag } : null;
  };
  const send = async (texts: SheetTexts, { base }: { base: string | null }): Promise<Outcome> => {
    const { input, faults } = inputOf(fields, texts);
    if (faults.length > 0) {
      return { faults };
    }
    const path = { ...address, letter: design.revision.letter };
    const body = { input: { trompe: input }, note: texts["note"] ?? "" };
    const a = await ask(
      api.POST("/api/v1/projects/{project}/designs/{design}/revisions/{letter}/sheets", { params: { path, header: { "If-Match": base ?? "" } }, body }),
    );
    if (!a.ok && a.trouble.kind !== "stale") {
      return { trouble: a.trouble };
    }
    const now = await reload();
    if (a.ok) {
      finish(now, a.data, a.etag);
      return { done: true };
    }
    if (!now) {
      return { trouble: a.trouble };
    }
    if (now.design.sheet?.saved_by.id === account && same(now.design.sheet.input.trompe, input)) {
      finish(now, now.design.sheet, now.etag); // the answer to an earlier try was lost on the way
      return { done: true };
    }
    setDesign(now.design);
    setNewer(textsOf(fields, now.design.sheet?.input.trompe));
    form.rebase(now.etag);
    return { compare: true };
  };
  const fieldOf = (pointer: string) => (sheetPointer.test(pointer) ? nameOf(pointer.replace(sheetPointer, "$1")) : pointer === "/note" ? "note" : undefined);
  const form = useForm<string>({ id: `sheet-${design.id}`, account, start, base: etag, send, fieldOf });
  const finish = (now: { design: Schema<"Design"> } | null, sheet: Schema<"Sheet">, version: string | null) => {
    setDesign((d) => now?.design ?? { ...d, sheet });
    setNewer(null);
    setSaved(`Saved as ${sheet.letter}.${sheet.number}.`);
    form.rebase(version);
  };

  const { shown, waiting } = usePreview(loaded, form.texts, design.sheet);
  const liveFault = (name: string) => form.fault(name) ?? shown?.report.faults?.find((f) => nameOf(f.at.replace("/trompe", "")) === name)?.message;
  const may = design.allowed_actions.includes("edit_design");
  const choosePart = useCallback((p: Part) => {
    setPart(p);
    document.getElementById(`part-${p}`)?.scrollIntoView({ block: "nearest" });
  }, []);
  const about = shown?.report.trompe ? gist(shown.report.trompe) : "The machine as typed, not yet calculated.";

  return (
    <form class="sheet" noValidate onSubmit={form.submit} aria-label="Design sheet">
      <div class="sheet-top">
        <FormSummary form={form} />
        {newer ? (
          <Diff
            by={design.sheet?.saved_by.name ?? "Someone else"}
            rows={differences(fields, form.texts, newer)}
            onTake={(f) => form.set(f, newer[f] ?? "")}
            onClose={() => setNewer(null)}
          />
        ) : null}
        <DraftNote form={form} />
        {may ? null : <p class="warn">You can read this. Only the crew of the project can change it.</p>}
        {design.sheet ? null : <p>A first machine to start from stands here, set to your site’s figures where they are known. Change what differs; nothing is saved until you say so.</p>}
      </div>
      <section class="sheet-drawing" aria-label="Elevation">
        {shown?.drawing ? (
          <Drawing drawing={shown.drawing} about={about} height={roomFor()} short={narrow()} write={write} selected={part} onSelect={choosePart} onScale={setScale} />
        ) : (
          <p class="quiet">The elevation stands here as soon as the levels and bores fit together.</p>
        )}
        <p class="gist">
          {about} <a class="to-answers off-paper" href="#answers">Why, and what else</a>
        </p>
        <TitleBlock
          boxes={[
            { name: "project", value: project.title, wide: true },
            { name: "sheet", value: `${design.revision.letter}${design.sheet ? `.${design.sheet.number}` : ", not saved yet"}` },
            { name: "state", value: design.revision.state },
            { name: "scale", value: scale > 0 ? `1:${roundScale(scale)}` : "to scale" },
            { name: "units", value: "m, mm, bar, L/min" },
            { name: "saved", value: design.sheet ? `${design.sheet.saved_by.name}, ${when(design.sheet.saved_at)}` : "not yet" },
          ]}
        />
      </section>
      <section class="sheet-inputs" aria-label="Inputs, in the order of the water">
        <p class="hint">
          All levels are heights over one mark of your choice, upward. In a machine to start from the mark is the level at which the water leaves, so what lies deeper is negative.
        </p>
        <Parts fields={fields} form={form} fault={liveFault} part={part} />
        {may ? (
          <div class="save">
            <TextField name="note" label="What changed, for the others" text={form.texts["note"] ?? ""} onText={(t) => form.set("note", t)} fault={form.fault("note")} optional />
            <button type="submit" aria-disabled={form.busy}>
              Save the sheet
            </button>
            <p role="status">{form.busy ? "Saving …" : saved}</p>
          </div>
        ) : null}
      </section>
      <section class="sheet-answers" id="answers" aria-label="What it will do" aria-busy={waiting}>
        <Answers report={shown?.report ?? null} />
        <Saves project={design.project} design={design.id} letter={design.revision.letter} newest={design.sheet?.number ?? 0} />
      </section>
    </form>
  );
}

/** usePreview calculates what is typed, a moment after the last stroke; the newest answer wins. */
function usePreview(loaded: Loaded, texts: SheetTexts, sheet: Schema<"Sheet"> | null): { shown: Shown | null; waiting: boolean } {
  const [shown, setShown] = useState<Shown | null>(() => (sheet ? { report: sheet.report, drawing: sheet.drawing } : null));
  const [waiting, setWaiting] = useState(false);
  const asked = useRef(0);
  const { input } = inputOf(loaded.fields, texts);
  const text = JSON.stringify(input);
  useEffect(() => {
    const mine = ++asked.current;
    const stop = new AbortController();
    setWaiting(true);
    const timer = setTimeout(() => {
      void ask(api.POST("/api/v1/preview", { body: { input: { trompe: input } }, signal: stop.signal })).then((a) => {
        if (mine !== asked.current) {
          return;
        }
        setWaiting(false);
        if (a.ok) {
          setShown((before) => ({ report: a.data.report, drawing: a.data.drawing ?? before?.drawing ?? null }));
        }
      });
    }, 300);
    return () => {
      clearTimeout(timer);
      stop.abort();
    };
  }, [text]);
  return { shown, waiting };
}

function differences(fields: Schema<"CalcField">[], mine: SheetTexts, theirs: SheetTexts): Difference<string>[] {
  const seen = new Set<string>();
  return fields.flatMap((f) => {
    const field = nameOf(f.at);
    const [a, b] = [mine[field] ?? "", theirs[field] ?? ""];
    if (seen.has(field) || a.trim() === b.trim()) {
      return [];
    }
    seen.add(field);
    return [{ field, name: labelOf(f), mine: a, theirs: b }];
  });
}

const narrow = () => matchMedia("(max-width: 63.99rem)").matches;
const roomFor = () => (narrow() ? Math.round(innerHeight * 0.36) : Math.max(420, innerHeight - 260));

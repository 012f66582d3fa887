import { useState } from "preact/hooks";
import { useLocation } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useForm, type Outcome } from "../../forms/form";
import { DraftNote } from "../../parts/Field/DraftNote";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { NumberWithUnit } from "../../parts/NumberWithUnit/NumberWithUnit";
import { useUnits, type Units } from "../../system";
import type { BuildAddress } from "../build/fetch";
import { runPath, type Measurable, type RunList } from "./fetch";
import { shownIn, write, writeBetween } from "./measure";
import { limitsOf, type OpenTexts } from "./opening";
import { sayUncertified, titleOf } from "./words";

interface OpenRunProps {
  at: BuildAddress;
  account: number;
  list: RunList;
}

/** OpenRun opens a run: what it is called, what it is judged by, and what it promises. */
export function OpenRun({ at, account, list }: OpenRunProps) {
  const [, go] = useLocation();
  const units = useUnits();
  const read = list.form.quantities.filter((q) => !q.derived);
  const [start] = useState<OpenTexts>(() => ({ title: "", purpose: "", ...Object.fromEntries(read.map((q) => [`by-${q.name}`, q.required ? "yes" : ""])) }));
  const form = useForm<string>({
    id: `run-open-${at.build}`,
    account,
    start,
    fieldOf: (pointer) => /^\/(title|purpose)$/.exec(pointer)?.[1] ?? pointer.replace(/^\/limits\/([^/]+).*$/, "low-$1"),
    send: async (texts, { key }): Promise<Outcome> => {
      const title = (texts["title"] ?? "").trim();
      const { limits, faults } = limitsOf(read, texts, units);
      if (title === "") {
        faults.unshift({ field: "title", message: "Give it a name, such as what it is to find out." });
      }
      if (faults.length > 0) {
        return { faults };
      }
      const body: Schema<"OpenRun"> = { title, purpose: (texts["purpose"] ?? "").trim(), required: read.filter((q) => texts[`by-${q.name}`] === "yes").map((q) => q.name), limits, client_key: key };
      const a = await ask(api.POST("/api/v1/projects/{project}/builds/{build}/runs", { params: { path: at }, body }));
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      go(runPath({ ...at, run: a.data.number }));
      return { done: true };
    },
  });
  const uncertified = sayUncertified(list.form.certificate);
  return (
    <form class="stack open-run" noValidate onSubmit={form.submit} aria-label="Open a run">
      <FormSummary form={form} />
      <DraftNote form={form} />
      {uncertified ? (
        <p class="warn">
          <b>No valid certificate.</b> {uncertified}
        </p>
      ) : null}
      <TextField name="title" label="What it is to find out" hint="Such as: first run after the rebuild." text={form.texts["title"] ?? ""} onText={(t) => form.set("title", t)} fault={form.fault("title")} />
      <TextField name="purpose" label="More about it" optional long text={form.texts["purpose"] ?? ""} onText={(t) => form.set("purpose", t)} fault={form.fault("purpose")} />
      <fieldset class="judged-by">
        <legend>What it is judged by</legend>
        <p class="small">Chosen now, before anything is read. Everything else may be read as well; it is shown, and decides nothing.</p>
        {read.map((q) => (
          <Judging key={q.name} of={q} units={units} texts={form.texts} set={form.set} fault={form.fault} />
        ))}
      </fieldset>
      <p class="small">
        Held against version {list.form.build_version} of the machine, set {list.form.coefficient_set} of the coefficients and version {list.form.calc_version} of the calculation. The run belongs to the machine as it stands: once that changes it takes no more readings.
      </p>
      <button type="submit" aria-disabled={form.busy}>
        Open the run
      </button>
    </form>
  );
}

interface JudgingProps {
  of: Measurable;
  units: Units;
  texts: OpenTexts;
  set: (field: string, text: string) => void;
  fault: (field: string) => string | undefined;
}

/** isShut tells what is read with the valve shut: the figure of the sheet is none of it. */
const isShut = (q: Measurable) => q.name === "highest_pressure_pa";

/** Judging is one quantity: whether the run is judged by it, what is predicted, and narrower limits. */
function Judging({ of: q, units, texts, set, fault }: JudgingProps) {
  const on = texts[`by-${q.name}`] === "yes";
  const [low, high] = [`low-${q.name}`, `high-${q.name}`];
  const unit = shownIn(q, q.predicted ?? q.high ?? 0, units);
  const given = Boolean(texts[low] || texts[high] || fault(low) || fault(high));
  return (
    <div class="judging-one">
      <label class="tick">
        <input type="checkbox" name={`by-${q.name}`} checked={on} onChange={(e) => set(`by-${q.name}`, e.currentTarget.checked ? "yes" : "")} />
        <span>
          <b>{titleOf(q)}</b>{" "}
          <span class="quiet">
            {isShut(q) ? "predicted for the valve shut when the run is judged: the sheet is for the valve as drawn" : q.predicted === null ? "nothing is predicted" : `predicted ${write(q, q.predicted, units)}`}
            {isShut(q) ? "" : q.promised ? `, 95 %: ${writeBetween(q, q.low, q.high, units)}` : q.predicted === null ? "" : ", without an interval: nothing is promised, so it stays undecided unless you declare limits"}
          </span>
        </span>
      </label>
      {on ? (
        <details class="fold" open={given}>
          <summary>Promise narrower limits</summary>
          <div class="stack">
            <p class="small">Instead of the interval of the prediction, and never changed afterwards. One of the two may stay empty.</p>
            <NumberWithUnit name={low} label="At least" optional text={texts[low] ?? ""} onText={(t) => set(low, t)} unit={unit} fault={fault(low)} brief />
            <NumberWithUnit name={high} label="At most" optional text={texts[high] ?? ""} onText={(t) => set(high, t)} unit={unit} fault={fault(high)} brief />
          </div>
        </details>
      ) : null}
    </div>
  );
}

import { useState } from "preact/hooks";
import { useLocation } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { useForm, type Form, type Outcome } from "../../forms/form";
import { Diff } from "../../parts/Diff/Diff";
import { DraftNote } from "../../parts/Field/DraftNote";
import { Field as Question } from "../../parts/Field/Field";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { NumberWithUnit } from "../../parts/NumberWithUnit/NumberWithUnit";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";
import { unitsIn, useUnits } from "../../system";
import { spanOf, unitNamed } from "../../units";
import { today } from "../gauging/facts";
import { emptyTexts, factsOf, fieldOf, kinds, names, textsOf, unitOf, type Field, type FieldTexts, type Instrument } from "./facts";
import { fetchInstrument, fetchInstruments } from "./fetch";

/** FormPage adds an instrument to the register, or corrects what it says about one. */
export default function FormPage({ account, instrument }: { account: number; instrument: number | null }) {
  const { loaded, again } = useLoad<Instrument | Schema<"InstrumentList">>(() => (instrument === null ? fetchInstruments() : fetchInstrument(instrument)), [instrument ?? 0]);
  return (
    <PageFrame
      title={instrument === null ? "Add an instrument" : "Correct an instrument"}
      trail={[
        { href: "/group", name: "Group" },
        { href: "/group/instruments", name: "Instruments" },
      ]}
    >
      {loaded.state !== "here" ? (
        <Waiting loaded={loaded} again={again} />
      ) : loaded.data.allowed_actions.includes("keep_instruments") ? (
        <InstrumentForm account={account} instrument={"items" in loaded.data ? null : loaded.data} />
      ) : (
        <p class="warn">Only a keeper of the group keeps the register. Tell one what should stand in it.</p>
      )}
    </PageFrame>
  );
}

interface Newer {
  by: string;
  texts: FieldTexts;
  taken: Field[];
  both: Field[];
}

function InstrumentForm({ account, instrument }: { account: number; instrument: Instrument | null }) {
  const [, go] = useLocation();
  const { system } = useUnits();
  const [start] = useState(() => (instrument ? textsOf(instrument, system) : emptyTexts(system)));
  const [newer, setNewer] = useState<Newer | null>(null);
  const version = (i: Instrument) => `"${i.version}"`;
  const compare = async (id: number): Promise<boolean> => {
    const now = await fetchInstrument(id);
    if (now.ok) {
      const texts = textsOf(now.data, form.texts.units);
      const { taken, both } = form.meet(texts, version(now.data));
      setNewer({ by: now.data.changed_by.name, texts, taken, both });
    }
    return now.ok;
  };
  const form = useForm<Field>({
    id: instrument ? `instrument-${instrument.id}` : "instrument-new",
    account,
    start,
    base: instrument ? version(instrument) : null,
    fieldOf,
    send: async (texts, { key, base }): Promise<Outcome> => {
      const read = factsOf(texts);
      if ("faults" in read) {
        return read;
      }
      const a = instrument
        ? await ask(
            api.PUT("/api/v1/instruments/{instrument}", { params: { path: { instrument: instrument.id }, header: { "If-Match": base ?? version(instrument) } }, body: read.facts }),
          )
        : await ask(
            api.POST("/api/v1/instruments", {
              body: { facts: read.facts, calibrated_on: texts.calibrated_on || null, calibration: texts.calibration, client_key: key },
            }),
          );
      if (a.ok) {
        go(`/group/instruments/${a.data.id}`, { replace: true });
        return { done: true };
      }
      return a.trouble.kind === "stale" && instrument && (await compare(instrument.id)) ? { compare: true } : { trouble: a.trouble };
    },
  });
  return (
    <form class="stack" noValidate onSubmit={form.submit} aria-label="Instrument">
      <FormSummary form={form} />
      {newer ? (
        <Diff
          by={newer.by}
          rows={newer.both.map((field) => ({ field, name: names[field], mine: form.texts[field], theirs: newer.texts[field] }))}
          taken={newer.taken.map((f) => `${names[f]}: ${newer.texts[f] || "empty"}`)}
          onTake={(f) => form.set(f, newer.texts[f])}
          onClose={() => setNewer(null)}
        />
      ) : null}
      <DraftNote form={form} />
      <Facts form={form} />
      {instrument ? null : <FirstCalibration form={form} />}
      <button type="submit" aria-disabled={form.busy}>
        {instrument ? "Save it" : "Add it"}
      </button>
    </form>
  );
}

function Facts({ form }: { form: Form<Field> }) {
  const bind = (field: Field) => ({ name: field, label: names[field], text: form.texts[field], onText: (t: string) => form.set(field, t), fault: form.fault(field) });
  const unit = unitOf(form.texts.kind, form.texts.unit, unitsIn(form.texts.units));
  const own = Object.entries(kinds).some(([kind, k]) => kind === form.texts.kind && k.typed === null);
  return (
    <>
      <TextField {...bind("name")} hint="As the group calls it: test gauge 0 to 6 bar, blue bucket." />
      <Question name="kind" label={names.kind} fault={form.fault("kind")}>
        {(control) => (
          <select {...control} value={form.texts.kind} onChange={(e) => form.set("kind", e.currentTarget.value)}>
            {Object.entries(kinds).map(([kind, k]) => (
              <option key={kind} value={kind}>
                {k.name}
              </option>
            ))}
          </select>
        )}
      </Question>
      <TextField {...bind("serial")} optional />
      {own ? <TextField {...bind("unit")} hint="Such as V, lx or pulses." /> : null}
      <NumberWithUnit {...bind("low")} unit={unit} />
      <NumberWithUnit {...bind("high")} unit={unit} hint="The end of its scale." />
      <NumberWithUnit {...bind("resolution")} unit={spanOf(unit)} hint="The smallest step that can be read." optional />
      <NumberWithUnit {...bind("class_pct")} unit={unitNamed("number", "")} hint="Of a dial gauge, from its face: 1.6 is 1.6 % of its span." optional />
      <NumberWithUnit {...bind("accuracy")} unit={spanOf(unit)} hint="Give or take, where it has no class." optional />
      <NumberWithUnit {...bind("interval_days")} unit={{ ...unitNamed("number", ""), name: "days" }} hint="Until it should be held against something better again." />
      <TextField {...bind("note")} long optional />
    </>
  );
}

function FirstCalibration({ form }: { form: Form<Field> }) {
  return (
    <>
      <Question name="calibrated_on" label={names.calibrated_on} hint="The last time. Leave it empty where nobody knows of one." fault={form.fault("calibrated_on")} optional>
        {(control) => <input {...control} type="date" max={today()} value={form.texts.calibrated_on} onInput={(e) => form.set("calibrated_on", e.currentTarget.value)} />}
      </Question>
      <TextField name="calibration" label={names.calibration} text={form.texts.calibration} onText={(t) => form.set("calibration", t)} fault={form.fault("calibration")} optional />
    </>
  );
}

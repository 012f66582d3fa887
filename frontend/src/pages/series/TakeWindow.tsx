import { useEffect, useRef, useState } from "preact/hooks";
import { Link } from "wouter-preact";
import type { Trouble } from "../../api/problem";
import { ErrorSummary, type Entry } from "../../parts/ErrorSummary/ErrorSummary";
import { TextField } from "../../parts/Field/TextField";
import type { Span } from "../../parts/SeriesChart/span";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { useUnits } from "../../system";
import type { Instrument } from "../instruments/facts";
import { runPath, type Run, type RunAddress } from "../run/fetch";
import { titleOf } from "../run/words";
import { useItemDraft, type ItemDraft } from "../test/draft";
import { Choice } from "./Ask";
import { choicesFor, countedOf, entriesOf, fitFor, leak, onlyLooked, placeOf, windowOf } from "./asking";
import { takeWindow, type Column, type Window } from "./fetch";

interface TakeWindowProps {
  account: number;
  at: RunAddress;
  run: Run;
  /** The series: a file, or a logger. */
  of: { file: number } | { logger: number };
  channels: Column[];
  instruments: Instrument[];
  /** The part that was chosen on a chart, and how often one was. */
  chosen: { part: Span; times: number } | null;
  taken: (w: Window) => void;
}

const round = (t: number) => String(Number(t.toFixed(3)));

/** TakeWindow makes a part of a series a reading of a point of the run. */
export function TakeWindow({ account, at, run, of, channels, instruments, chosen, taken }: TakeWindowProps) {
  const units = useUnits();
  const draft = useItemDraft(account, `window-${at.build}-${at.run}-${"file" in of ? `file-${of.file}` : `logger-${of.logger}`}`, run.points.length === 1 ? { point: String(run.points[0]?.number ?? "") } : {});
  const [faults, setFaults] = useState<Entry[]>([]);
  const [attempt, setAttempt] = useState(0);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const [busy, setBusy] = useState(false);
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => {
    if (chosen) {
      draft.set("from", round(chosen.part.from));
      draft.set("to", round(chosen.part.to));
      heading.current?.scrollIntoView();
      heading.current?.focus({ preventScroll: true });
    }
  }, [chosen?.times]);
  const { texts, set } = draft;
  const fault = (field: string) => faults.find((f) => f.field === field)?.message;
  const submit = async (e: Event) => {
    e.preventDefault();
    const made = windowOf(channels, texts, units);
    setFaults(made.faults);
    setTrouble(null);
    setAttempt((n) => n + 1);
    if (made.window === null || busy) {
      return;
    }
    setBusy(true);
    const a = await takeWindow(at, { ...made.window, ...of, client_key: draft.key() });
    setBusy(false);
    if (a.ok) {
      draft.drop();
      taken(a.data);
      return;
    }
    if (a.trouble.faults.length > 0) {
      draft.renew();
      setFaults(entriesOf(a.trouble.faults, made.order));
      setAttempt((n) => n + 1);
    } else {
      setTrouble(a.trouble);
    }
  };
  if (run.points.length === 0) {
    return (
      <p>
        A reading belongs to a point of the run, and there is none yet. <Link href={runPath(at)}>Add a point on the page of the run</Link>, then come back.
      </p>
    );
  }
  return (
    <form class="stack take-window off-paper" noValidate onSubmit={(e) => void submit(e)} aria-labelledby="take-title">
      <h2 id="take-title" tabIndex={-1} ref={heading}>
        Take a part as a reading
      </h2>
      <p>Its start is cut until all columns that you choose have settled. The mean of the rest is the reading; drift and scatter go into how sure it is. It is kept as it is found.</p>
      {faults.length > 0 ? <ErrorSummary title="This needs another look. Nothing was taken yet." entries={faults} attempt={attempt} /> : null}
      {trouble ? <TroubleNote trouble={trouble} /> : null}
      <Choice
        name="window-point"
        label="Point of the run"
        value={texts["point"] ?? ""}
        onValue={(v) => set("point", v)}
        fault={fault("window-point")}
        options={[{ value: "", says: "Choose one" }, ...run.points.map((p) => ({ value: String(p.number), says: `${p.number}. ${p.name}` }))]}
      />
      <p class="small quiet">Times in the record are in s, or with a unit such as 12 min. Without them it is all of it.</p>
      <div class="between">
        <TextField name="window-from" label="From" optional text={texts["from"] ?? ""} onText={(t) => set("from", t)} fault={fault("window-from")} />
        <TextField name="window-to" label="To" optional text={texts["to"] ?? ""} onText={(t) => set("to", t)} fault={fault("window-to")} />
      </div>
      {channels.map((c, n) => (
        <OfChannel key={c.name} channel={c} n={n} run={run} instruments={instruments} draft={draft} fault={fault} />
      ))}
      {channels.some((c) => texts[`quantity ${c.name}`] === leak) ? <Vessel channels={channels} draft={draft} fault={fault} volume={units.typed("volume").name} /> : null}
      <button type="submit" aria-disabled={busy}>
        {busy ? "Working it out …" : "Take it as a reading"}
      </button>
    </form>
  );
}

interface OfChannelProps {
  channel: Column;
  n: number;
  run: Run;
  instruments: Instrument[];
  draft: ItemDraft;
  fault: (field: string) => string | undefined;
}

/** OfChannel asks what a column measures, and with which instrument. */
function OfChannel({ channel: c, n, run, instruments, draft: { texts, set }, fault }: OfChannelProps) {
  const chosen = texts[`quantity ${c.name}`] ?? "";
  const fit = fitFor(c, instruments);
  const choices = choicesFor(c, run.form);
  const name = (i: Instrument) => `${i.name}${i.serial ? ` no. ${i.serial}` : ""}${i.unfit ? `: ${i.unfit}` : ""}`;
  return (
    <fieldset class="of-channel">
      <legend>{c.name}</legend>
      <Choice
        name={placeOf("quantity", n)}
        label="What it measures"
        value={chosen}
        onValue={(v) => set(`quantity ${c.name}`, v)}
        fault={fault(placeOf("quantity", n))}
        options={[
          { value: "", says: "Leave it out" },
          ...choices.map((m) => ({ value: m.name, says: titleOf(m) })),
          ...(c.kind === "pressure" ? [{ value: leak, says: "The pressure of a vessel that was shut in: its leak" }] : []),
          { value: onlyLooked, says: "Nothing of the run: only look whether it is steady" },
        ]}
      />
      {chosen !== "" && chosen !== onlyLooked ? (
        <>
          <Choice
            name={placeOf("instrument", n)}
            label="With which instrument"
            hint={fit.length === 0 ? <>No such instrument is in the register. A keeper adds it under <Link href="/group/instruments">Instruments</Link>; what you typed stays here.</> : "The sensor that the logger reads, as the register has it."}
            value={texts[`instrument ${c.name}`] ?? ""}
            onValue={(v) => set(`instrument ${c.name}`, v)}
            fault={fault(placeOf("instrument", n))}
            options={[{ value: "", says: "Choose one" }, ...fit.map((i) => ({ value: String(i.id), says: name(i) }))]}
          />
          {c.kind === "pressure" && c.counted === "" ? (
            <Choice
              name={placeOf("counted", n)}
              label="This pressure counts from"
              value={countedOf(c, texts)}
              onValue={(v) => set(`counted ${c.name}`, v)}
              fault={fault(placeOf("counted", n))}
              options={[
                { value: "", says: "Choose one" },
                { value: "gauge", says: "the air around: gauge" },
                { value: "absolute", says: "nothing at all: absolute" },
              ]}
            />
          ) : null}
        </>
      ) : null}
    </fieldset>
  );
}

/** Vessel asks what is known of a vessel that was shut in. */
function Vessel({ channels, draft: { texts, set }, fault, volume }: { channels: Column[]; draft: ItemDraft; fault: (field: string) => string | undefined; volume: string }) {
  const text = (field: string, label: string, hint: string, optional: boolean) => <TextField name={`window-${field}`} label={label} hint={hint} optional={optional} text={texts[field] ?? ""} onText={(t) => set(field, t)} fault={fault(`window-${field}`)} />;
  const column = (field: string, label: string, si: string) => (
    <Choice
      name={`window-${field}`}
      label={label}
      optional
      value={texts[field] ?? ""}
      onValue={(v) => set(field, v)}
      fault={fault(`window-${field}`)}
      options={[{ value: "", says: "No column has it" }, ...channels.filter((c) => c.unit === si).map((c) => ({ value: c.name, says: c.name }))]}
    />
  );
  return (
    <fieldset class="of-channel">
      <legend>The vessel that was shut in</legend>
      <p class="warn">
        <b>This tells how tight it is, and is no safety test.</b> Keep the distance while there is pressure.
      </p>
      {text("volume", "Volume that was shut in", `Bare numbers are ${volume}.`, false)}
      {text("u_volume", "Standard uncertainty of the volume", `Bare numbers are ${volume}.`, true)}
      {column("ambient_channel", "Column of the air pressure, absolute", "Pa")}
      {text("ambient", "Air pressure of that hour, absolute", "Where no column has it. Bare numbers are hPa.", true)}
      {column("gas_channel", "Column of the temperature of the gas", "K")}
      {text("u_change", "How much the gas may have warmed or cooled, standard uncertainty", "Bare numbers are K.", true)}
    </fieldset>
  );
}

import { useRef, useState } from "preact/hooks";
import { Link } from "wouter-preact";
import { sendAsMember } from "../../api/client";
import type { Trouble } from "../../api/problem";
import { putAll } from "../../outbox/outbox";
import { ErrorSummary, type Entry } from "../../parts/ErrorSummary/ErrorSummary";
import { Field } from "../../parts/Field/Field";
import { NumberWithUnit } from "../../parts/NumberWithUnit/NumberWithUnit";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { otherThan, useUnits, type Units } from "../../system";
import { show, spanOf, toBase, type Unit } from "../../units";
import { accuracy, range, type Instrument } from "../instruments/facts";
import { idOf, labelOf } from "../reckoner/form";
import { Fields } from "../reckoner/Fields";
import { typedIn } from "../reckoner/measure";
import { useItemDraft } from "../test/draft";
import type { Measurable, Method, Reading } from "./fetch";
import { asField, keptIn, unitsOf } from "./measure";
import { readingParcel, type PointRef, type Sending } from "./parcels";
import { extrasOf, isOfValue, linesOf, methodIn, methodsOf, readingOf, readValue, startFrom, unitIn, unitsWith, type Texts } from "./reading";
import { Stopwatch } from "./Stopwatch";
import { titleOf } from "./words";

interface AddReadingProps {
  sending: Sending;
  point: PointRef;
  of: Measurable;
  methods: Method[];
  instruments: Instrument[];
  /** The reading of the same that was taken last in this run. */
  before: Reading | undefined;
  certified: boolean;
  close: () => void;
}

/** draftId names what is typed of one reading, among what this browser keeps. */
export const draftId = (s: Sending, point: string, quantity: string) => `run-${s.build}-${s.run}-${point}-${quantity}`;

/** AddReading takes one reading. What is typed stays in this browser until the notebook has it. */
export function AddReading({ sending, point, of: m, methods, instruments, before, certified, close }: AddReadingProps) {
  const units = useUnits();
  const [start] = useState(() => startFrom(m, methods, before, units));
  const draft = useItemDraft(sending.account, draftId(sending, point.name, m.name), start);
  const { texts, set } = draft;
  const [faults, setFaults] = useState<Entry[]>([]);
  const [attempt, setAttempt] = useState(0);
  const [lacking, setLacking] = useState<string[]>([]);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const busy = useRef(false);
  const method = methodIn(m, methods, texts);
  const unit = unitIn(m, method, texts, units);

  const keep = async (withoutThem: boolean) => {
    const made = readingOf(m, methods, texts, units);
    setFaults(made.faults);
    setAttempt((n) => n + 1);
    setLacking(made.faults.length === 0 ? made.lacking : []);
    if (busy.current || made.reading === null || (made.lacking.length > 0 && !withoutThem)) {
      return;
    }
    busy.current = true;
    const parcel = readingParcel(sending, point, titleOf(m), made.reading, draft.key(), new Date());
    const stopped = (await putAll(sending.account, [parcel])) ? null : await sendNow(parcel.path, parcel.body, point);
    busy.current = false;
    if (stopped) {
      setTrouble(stopped);
      return;
    }
    draft.drop();
    close();
  };
  const submit = (e: Event) => {
    e.preventDefault();
    void keep(false);
  };
  const fault = (field: string) => faults.find((f) => f.field === field)?.message;
  return (
    <form class="stack add-reading off-paper" noValidate onSubmit={submit} aria-label={`Reading of ${titleOf(m)}`}>
      {faults.length > 0 ? <ErrorSummary title="This needs another look. Nothing was kept yet but what you typed." entries={faults} attempt={attempt} /> : null}
      {trouble ? <TroubleNote trouble={trouble} /> : null}
      {m.pressurised && !certified ? (
        <p class="warn">
          <b>No valid certificate.</b> This reading will be kept and marked, and never counted.
        </p>
      ) : null}
      <Way m={m} methods={methodsOf(m, methods)} method={method} set={set} />
      <WithWhat method={method} instruments={instruments} chosen={texts["instrument"] ?? ""} set={set} fault={fault("reading-instrument")} units={units} />
      <Values m={m} method={method} unit={unit} texts={texts} set={set} fault={fault("reading-values")} units={units} />
      <Extras m={m} method={method} unit={unit} units={units} texts={texts} set={set} fault={fault} />
      <label class="tick">
        <input type="checkbox" checked={texts["reset"] === "yes"} onChange={(e) => set("reset", e.currentTarget.checked ? "yes" : "")} />
        <span>The instrument was disturbed and set up anew between the values</span>
      </label>
      {lacking.length > 0 ? (
        <div class="warn" role="alert">
          <p>
            <b>This is not said yet:</b>
          </p>
          <ul>
            {lacking.map((l) => (
              <li key={l}>{l}</li>
            ))}
          </ul>
          <p>Without it the reading is kept, and can decide nothing. It can’t be added later. What is typed waits here until you know it.</p>
          <button type="button" class="second" onClick={() => void keep(true)}>
            Keep it without
          </button>
        </div>
      ) : null}
      <div class="row">
        <button type="submit">Keep this reading</button>
        <button type="button" class="plain" onClick={close}>
          Not now: it stays typed here
        </button>
      </div>
    </form>
  );
}

/** sendNow sends at once where this browser keeps nothing; it answers what stopped it. */
async function sendNow(path: string, body: Blob | Record<string, unknown>, point: PointRef): Promise<Trouble | null> {
  if (point.number === null) {
    return { kind: "offline", title: "The point is not sent yet.", detail: "This browser keeps nothing, so the reading can only be sent after it. Write it down on paper.", faults: [], reference: null, code: "local" };
  }
  const a = await sendAsMember(path, body);
  return a.ok ? null : a.trouble;
}

interface WayProps {
  m: Measurable;
  methods: Method[];
  method: Method | null;
  set: (place: string, text: string) => void;
}

/** Way asks how it was read, the usual way first. */
function Way({ m, methods, method, set }: WayProps) {
  if (methods.length < 2) {
    return method ? <p>Read with {method.about}.</p> : <p class="warn">The notebook knows no way to read this.</p>;
  }
  const choose = (name: string) => {
    set("method", name);
    set("unit", "");
    set("instrument", "");
  };
  return (
    <fieldset class="ways" id="reading-method" tabIndex={-1}>
      <legend>How it is read</legend>
      {methods.map((w) => (
        <label class="tick" key={w.name}>
          <input type="radio" name={`way-${m.name}`} checked={w.name === method?.name} onChange={() => choose(w.name)} />
          <span>{w.about.charAt(0).toUpperCase() + w.about.slice(1)}</span>
        </label>
      ))}
    </fieldset>
  );
}

interface WithWhatProps {
  method: Method | null;
  instruments: Instrument[];
  chosen: string;
  set: (place: string, text: string) => void;
  fault: string | undefined;
  units: Units;
}

/** WithWhat asks for the instrument of the register, and says of each what speaks against it. */
function WithWhat({ method, instruments, chosen, set, fault, units }: WithWhatProps) {
  const kinds = method?.instrument ?? [];
  if (kinds.length === 0) {
    return null;
  }
  const fit = instruments.filter((i) => kinds.includes(i.kind) && !i.retired);
  if (fit.length === 0) {
    return (
      <p class="warn" id="reading-instrument" tabIndex={-1}>
        <b>No such instrument is in the register.</b> Without one nobody can say how far the reading may be off. A keeper adds it under <Link href="/group/instruments">Instruments</Link>; what you type here stays until then.
      </p>
    );
  }
  return (
    <fieldset class={fault ? "field faulty" : "field"} id="reading-instrument" tabIndex={-1}>
      <legend>With which instrument</legend>
      {fault ? <p class="fault">{fault}</p> : null}
      {fit.map((i) => (
        <label class="tick" key={i.id}>
          <input type="radio" name="reading-instrument" checked={chosen === String(i.id)} onChange={() => set("instrument", String(i.id))} />
          <span>
            {i.name}
            {i.serial ? ` no. ${i.serial}` : ""}{" "}
            <span class="quiet small">
              {range(i, units)}, {accuracy(i, units)}
            </span>
            {i.unfit ? <b class="unfit"> {i.unfit}</b> : null}
          </span>
        </label>
      ))}
    </fieldset>
  );
}

interface ValuesProps {
  m: Measurable;
  method: Method | null;
  unit: Unit;
  texts: Texts;
  set: (place: string, text: string) => void;
  fault: string | undefined;
  units: Units;
}

/** Values takes the values, one by one with a thumb or all at once, and shows what each was taken for. */
function Values({ m, method, unit, texts, set, fault, units }: ValuesProps) {
  const kept = keptIn(m, method);
  const label = method?.values ? `${method.values.charAt(0).toUpperCase()}${method.values.slice(1)}` : "Value";
  const added = linesOf({ values: texts["values"] ?? "" });
  const next = texts["next"] ?? "";
  const add = (text: string) => {
    if (text.trim() !== "") {
      set("values", [...added, text.trim()].join("\n"));
      set("next", "");
    }
  };
  const all = texts["all"] === "yes";
  const choices = unitsOf(kept);
  const also = typedIn(asField({ ...m, unit: method?.unit || m.unit }), otherThan(units));
  return (
    <section class="values" aria-label="Values">
      {all ? (
        <Field name="reading-values" label={label} hint={`One on each line, in ${unit.name || "plain numbers"} unless it says another unit. A dash stands for one that was missed.`} fault={fault}>
          {(control) => <textarea {...control} value={texts["values"] ?? ""} onInput={(e) => set("values", e.currentTarget.value)} />}
        </Field>
      ) : (
        <>
          <NumberWithUnit
            name="reading-values"
            label={added.length === 0 ? label : `${label}, value ${added.length + 1}`}
            {...(added.length === 0 ? { hint: "Read it three times or more: one alone says nothing of how much it scatters." } : {})}
            text={next}
            onText={(t) => set("next", t)}
            unit={unit}
            units={choices}
            onUnit={(u) => set("unit", u.name)}
            also={also}
            fault={fault}
          />
          <div class="row">
            <button type="button" class="second add-value" onClick={() => add(next)}>
              {added.length === 0 ? "Add it, and read it again" : "Add this value"}
            </button>
            {kept.name === "s" ? <Stopwatch key={m.name} taken={(s) => add(`${s} s`)} /> : null}
          </div>
        </>
      )}
      {added.length > 0 && !all ? (
        <ol class="fills" aria-label="Values so far">
          {added.map((t, i) => (
            <li key={i}>
              <span>
                <b>{t}</b> <Understood text={t} unit={unit} kept={kept} />
              </span>
              <button type="button" class="plain" aria-label={`Take out value ${i + 1}`} onClick={() => set("values", added.filter((_, at) => at !== i).join("\n"))}>
                Take out
              </button>
            </li>
          ))}
        </ol>
      ) : null}
      {all ? <AllUnderstood lines={added} unit={unit} kept={kept} /> : null}
      <button type="button" class="plain" onClick={() => set("all", all ? "" : "yes")}>
        {all ? "Add them one by one" : "Type them all at once"}
      </button>
    </section>
  );
}

function Understood({ text, unit, kept }: { text: string; unit: Unit; kept: Unit }) {
  const r = readValue(text, unit, kept);
  if ("fault" in r) {
    return <span class="fault">{r.fault}</span>;
  }
  return <span class="quiet">{r.value === null ? "missed" : show(toBase(r.value, kept), unit, 6)}</span>;
}

function AllUnderstood({ lines, unit, kept }: { lines: string[]; unit: Unit; kept: Unit }) {
  if (lines.length === 0) {
    return null;
  }
  return (
    <p class="small" role="status">
      Understood, {lines.length === 1 ? "one value" : `${lines.length} values`}:{" "}
      {lines.map((t, i) => (
        <span key={i}>
          {i > 0 ? "; " : ""}
          <Understood text={t} unit={unit} kept={kept} />
        </span>
      ))}
    </p>
  );
}

interface ExtrasProps {
  m: Measurable;
  method: Method | null;
  unit: Unit;
  units: Units;
  texts: Texts;
  set: (place: string, text: string) => void;
  fault: (field: string) => string | undefined;
}

/** Extras are what the way of reading asks besides the values. */
function Extras({ m, method, unit, units, texts, set, fault }: ExtrasProps) {
  const all = extrasOf(method);
  const rest = all.filter((f) => !isOfValue(f));
  return (
    <>
      {all.filter(isOfValue).map((f) => (
        <NumberWithUnit key={f.at} name={idOf(f.at)} label={labelOf({ ...f, about: f.about.replace(/, in the unit of the value/, "") }).label} text={texts[f.at] ?? ""} onText={(t) => set(f.at, t)} unit={spanOf(unit)} fault={fault(idOf(f.at))} brief />
      ))}
      {rest.length > 0 ? (
        <div class="reckon-fields">
          <Fields key={`${m.name} ${method?.name ?? ""}`} of="" all={rest} texts={texts} set={set} fault={(at) => fault(idOf(at))} units={unitsWith(units, unit)} />
        </div>
      ) : null}
    </>
  );
}

import { useRef } from "preact/hooks";
import { sendAsMember, type Schema } from "../../api/client";
import { useForm, type Outcome } from "../../forms/form";
import { putAll } from "../../outbox/outbox";
import { DraftNote } from "../../parts/Field/DraftNote";
import { Field } from "../../parts/Field/Field";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { tagName } from "../build/states";
import { useHeld } from "./held";
import { wallOf } from "./moment";
import { faultsOf, parcelsOf, type EntryTexts, type Writing } from "./parcels";
import { Pictures } from "./Pictures";

interface WriteEntryProps {
  writing: Writing;
  /** The machines that an entry of the project may be about; none where that is settled. */
  machines?: Schema<"BuildHead">[];
  /** Called when it is in the outbox, or with the notebook already. */
  written: () => void;
  close?: () => void;
}

const empty: EntryTexts = { text: "", happened: "", incident: "", machine: "" };

/** WriteEntry takes an entry of the log with its pictures and files. It is kept in this browser until the notebook has it. */
export function WriteEntry({ writing, machines = [], written, close }: WriteEntryProps) {
  const { account, project, build, strikes, zone } = writing;
  const id = `log-${project}-${strikes === null ? (build ?? "all") : `corrects-${strikes}`}`;
  const holding = useHeld(account, id);
  const prefix = strikes === null ? "entry" : `correction-${strikes}`;
  const given = useRef(false);
  const form = useForm<keyof EntryTexts>({
    id,
    account,
    start: empty,
    send: async (texts, { key }): Promise<Outcome> => {
      const now = new Date();
      const faults = faultsOf(texts, holding.held, zone, now);
      if (faults.length > 0) {
        return { faults: faults.map((f) => ({ ...f, field: `${prefix}-${f.field}` })) };
      }
      const parcels = parcelsOf(texts.machine === "" ? writing : { ...writing, build: Number(texts.machine) }, texts, holding.held, key, now);
      const stopped = (await putAll(account, parcels)) ? null : await sendNow(parcels);
      if (stopped) {
        return stopped;
      }
      holding.clear();
      given.current = true;
      return { done: true };
    },
  });
  const submit = async (e: Event) => {
    await form.submit(e);
    if (given.current) {
      written(); // only now is the draft gone, and the next entry begins empty
    }
  };
  const fault = (field: keyof EntryTexts) => form.failure?.entries.find((e) => e.field === `${prefix}-${field}`)?.message;
  return (
    <form class="stack write-entry off-paper" noValidate onSubmit={submit} aria-label={strikes === null ? "New entry" : "Correction"}>
      <FormSummary form={form} />
      <DraftNote form={form} />
      {machines.length > 0 ? (
        <Field name={`${prefix}-machine`} label="About">
          {(control) => (
            <select {...control} value={form.texts.machine} onChange={(e) => form.set("machine", e.currentTarget.value)}>
              <option value="">the project as a whole</option>
              {machines.map((m) => (
                <option key={m.id} value={String(m.id)}>
                  machine {tagName(m.tag)}, {m.title}
                </option>
              ))}
            </select>
          )}
        </Field>
      ) : null}
      <TextField
        name={`${prefix}-text`}
        label={strikes === null ? "What happened, what was done" : "How it was"}
        long
        text={form.texts.text}
        onText={(t) => form.set("text", t)}
        fault={fault("text")}
      />
      <Pictures holding={holding} prefix={prefix} />
      <Field name={`${prefix}-happened`} label="When it happened" optional hint="Empty: now." fault={fault("happened")}>
        {(control) => <input {...control} type="datetime-local" max={wallOf(new Date(), zone)} value={form.texts.happened} onInput={(e) => form.set("happened", e.currentTarget.value)} />}
      </Field>
      <IncidentBox on={form.texts.incident === "yes"} set={(on) => form.set("incident", on ? "yes" : "")} />
      <div class="row">
        <button type="submit" aria-disabled={form.busy || holding.busy}>
          {strikes === null ? "Write it into the log" : "Write the correction"}
        </button>
        {close ? (
          <button type="button" class="plain" onClick={close}>
            Not now
          </button>
        ) : null}
      </div>
    </form>
  );
}

function IncidentBox({ on, set }: { on: boolean; set: (on: boolean) => void }) {
  return (
    <div class="incident-box">
      <label>
        <input type="checkbox" checked={on} onChange={(e) => set(e.currentTarget.checked)} />
        It is an incident
      </label>
      <p class="quiet small">Over-pressure, a leak, a blow, frost, a relief that lifted, somebody hurt. The certificate of the machine does not hold from then on.</p>
      {on ? (
        <p class="warn">
          <b>First the people, then the pressure, then the log.</b> Get help where somebody is hurt; let the pressure off from a distance; write afterwards.
        </p>
      ) : null}
    </div>
  );
}

/** sendNow sends at once where this browser keeps nothing; it answers what stopped it. */
async function sendNow(parcels: ReturnType<typeof parcelsOf>): Promise<Outcome | null> {
  const given: number[] = [];
  for (const p of parcels) {
    const a = await sendAsMember(p.path, p.body instanceof Blob ? p.body : { ...p.body, files: given });
    if (!a.ok) {
      return { trouble: a.trouble };
    }
    if (a.id !== null) {
      given.push(a.id);
    }
  }
  return null;
}

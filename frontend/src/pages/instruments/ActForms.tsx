import { useState } from "preact/hooks";
import { api, ask, type Answer } from "../../api/client";
import { useForm, type Outcome } from "../../forms/form";
import { DraftNote } from "../../parts/Field/DraftNote";
import { Field } from "../../parts/Field/Field";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { today } from "../gauging/facts";
import type { Instrument } from "./facts";

interface Props {
  account: number;
  instrument: Instrument;
  changed: () => void;
}

type Act = "calibrations" | "found-wrong" | "retire";

interface Words {
  title: string;
  says: string;
  day: string;
  text: string;
  hint: string;
  button: string;
}

const words: Record<Act, Words> = {
  calibrations: {
    title: "Calibrated",
    says: "It was held against something better, and is as good as the register says.",
    day: "Calibrated on",
    text: "By whom, against what",
    hint: "With the number of its certificate, where there is one.",
    button: "Enter the calibration",
  },
  "found-wrong": {
    title: "Found wrong",
    says: "It is off by more than it may be. Certificates of tests that used it since that day lapse at once, and it can’t be used until it is calibrated again.",
    day: "Wrong since, at the latest",
    text: "What was found",
    hint: "When it was last known to be right is the safe answer.",
    button: "Enter that it is wrong",
  },
  retire: {
    title: "Retire it",
    says: "It is lost, broken or worn out, for good. What was measured with it stands.",
    day: "Retired on",
    text: "Why",
    hint: "",
    button: "Retire it",
  },
};

/** ActForms are what a keeper may enter about an instrument; what is entered never changes. */
export function ActForms({ account, instrument, changed }: Props) {
  const acts: Act[] = instrument.retired ? ["found-wrong"] : ["calibrations", "found-wrong", "retire"];
  return (
    <section class="act-forms off-paper" aria-labelledby="acts-title">
      <h2 id="acts-title">Enter something about it</h2>
      {acts.map((act) => (
        <details key={act}>
          <summary>{words[act].title}</summary>
          <ActForm act={act} account={account} instrument={instrument} changed={changed} />
        </details>
      ))}
    </section>
  );
}

function ActForm({ act, account, instrument, changed }: Props & { act: Act }) {
  const w = words[act];
  const [start] = useState({ [`${act}-day`]: today(), [`${act}-text`]: "" });
  const [day, text] = [`${act}-day`, `${act}-text`];
  const form = useForm<string>({
    id: `instrument-${instrument.id}-${act}`,
    account,
    start,
    fieldOf: (pointer) => ({ "/calibrated_on": day, "/since": day, "/on": day, "/text": text })[pointer],
    send: async (texts, { key, renew }): Promise<Outcome> => {
      const a = await send(act, instrument.id, texts[day] ?? "", texts[text] ?? "", key);
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      renew(); // the next entry is another one
      form.startOver();
      changed();
      return { done: true };
    },
  });
  return (
    <form class="stack" noValidate onSubmit={form.submit} aria-label={w.title}>
      <p>{w.says}</p>
      <FormSummary form={form} />
      <DraftNote form={form} />
      <Field name={day} label={w.day} fault={form.fault(day)}>
        {(control) => <input {...control} type="date" max={today()} value={form.texts[day] ?? ""} onInput={(e) => form.set(day, e.currentTarget.value)} />}
      </Field>
      <TextField name={text} label={w.text} hint={w.hint} text={form.texts[text] ?? ""} onText={(t) => form.set(text, t)} fault={form.fault(text)} />
      <button type="submit" aria-disabled={form.busy}>
        {w.button}
      </button>
    </form>
  );
}

function send(act: Act, instrument: number, day: string, text: string, client_key: string): Promise<Answer<unknown>> {
  const params = { path: { instrument } };
  switch (act) {
    case "calibrations":
      return ask(api.POST("/api/v1/instruments/{instrument}/calibrations", { params, body: { calibrated_on: day, text, client_key } }));
    case "found-wrong":
      return ask(api.POST("/api/v1/instruments/{instrument}/found-wrong", { params, body: { since: day, text, client_key } }));
    case "retire":
      return ask(api.POST("/api/v1/instruments/{instrument}/retire", { params, body: { on: day, text, client_key } }));
  }
}

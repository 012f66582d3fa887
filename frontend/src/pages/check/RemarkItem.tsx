import { useState } from "preact/hooks";
import { api, ask } from "../../api/client";
import { draftForms } from "../../forms/drafts";
import { useForm, type Outcome } from "../../forms/form";
import { DraftNote } from "../../parts/Field/DraftNote";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { Stamp } from "../../parts/Stamp/Stamp";
import { when } from "../../words";
import { pinId, type Pin } from "../sheet/pins";
import type { LetterAt, Remark } from "./fetch";
import { begins, handOver, remarksPath } from "./outgoing";
import { quoted } from "./say";

export interface RemarkProps {
  account: number;
  at: LetterAt;
  remark: Remark;
  /** What it is pinned to, as the sheet at hand calls it. */
  pin: Pin;
  /** Goes to what it is pinned to. */
  onGo: (pin: Pin) => void;
  /** Called when something was sent that may change how things stand. */
  changed: () => void;
}

/** RemarkItem is one remark with what was answered, and what the reader may do with it. */
export function RemarkItem({ account, at, remark: r, pin, onGo, changed }: RemarkProps) {
  const may = (action: Remark["allowed_actions"][number]) => r.allowed_actions.includes(action);
  const open = r.laid_to_rest === null;
  return (
    <li class={open ? "remark" : "remark resting"} id={`remark-${r.id}`} tabIndex={-1}>
      <p class="remark-head">
        <Stamp word={r.weight} danger={open && r.weight === "stopper"} />{" "}
        <PinLink pin={pin} onGo={onGo} />
        {r.letter === at.letter ? null : <span class="small quiet">left on letter {r.letter}</span>}
      </p>
      <p class="said">{r.text}</p>
      <p class="small quiet">
        {r.who.name}
        {r.who_left ? ", who has left" : ""}, {when(r.at)}
      </p>
      {r.answers.map((a) => (
        <div key={a.id} class="reply">
          <p class="said">{a.text}</p>
          <p class="small quiet">
            {a.who.name}, {when(a.at)}
          </p>
        </div>
      ))}
      {r.laid_to_rest ? (
        <p class="small">
          Laid to rest by {r.laid_to_rest.by.name}, {when(r.laid_to_rest.at)}
          {r.laid_to_rest.reason ? `: ${quoted(r.laid_to_rest.reason)}` : "."}
        </p>
      ) : (
        <div class="off-paper">
          {may("answer_remark") ? <Folded words="Answer it" open={draftForms(account).includes(answerId(r))}>{(close) => <AnswerForm account={account} at={at} remark={r} close={close} />}</Folded> : null}
          {may("lay_remark_to_rest") ? (
            <Folded words="Lay it to rest" open={draftForms(account).includes(restId(r))}>
              {() => <RestForm account={account} at={at} remark={r} changed={changed} />}
            </Folded>
          ) : (
            <p class="small quiet">{r.who_left ? "Who raised it has left: a steward lays it to rest." : `${r.who.name} lays it to rest when it needs no more.`}</p>
          )}
        </div>
      )}
    </li>
  );
}

function PinLink({ pin, onGo }: Pick<RemarkProps, "pin" | "onGo">) {
  if (pin.kind === "whole") {
    return <b>{pin.name}</b>;
  }
  const go = (e: Event) => {
    e.preventDefault();
    onGo(pin);
  };
  return (
    <a href={`#${pinId(pin)}`} class="pin-link" onClick={go}>
      {pin.name}
    </a>
  );
}

const answerId = (r: Remark) => `answer-${r.id}`;
const restId = (r: Remark) => `rest-${r.id}`;

/** Folded keeps a form away until it is wanted. */
function Folded({ words, open, children }: { words: string; open: boolean; children: (close: () => void) => preact.ComponentChildren }) {
  const [shown, setShown] = useState(open);
  return shown ? (
    <>{children(() => setShown(false))}</>
  ) : (
    <button type="button" class="second" onClick={() => setShown(true)}>
      {words}
    </button>
  );
}

function AnswerForm({ account, at, remark, close }: Omit<RemarkProps, "pin" | "onGo" | "changed"> & { close: () => void }) {
  const form = useForm({
    id: answerId(remark),
    account,
    start: { text: "" },
    fieldOf: (pointer) => (pointer === "/text" ? `${answerId(remark)}-text` : undefined),
    send: async (texts, { key }): Promise<Outcome> => {
      const text = texts.text.trim();
      if (text === "") {
        return { faults: [{ field: `${answerId(remark)}-text`, message: "Write your answer." }] };
      }
      const { trouble } = await handOver({ account, at, says: `answer: “${begins(text)}”`, path: `${remarksPath(at)}/${remark.id}/answers`, body: { text }, key });
      if (trouble) {
        return { trouble };
      }
      close();
      return { done: true };
    },
  });
  return (
    <form class="stack" noValidate onSubmit={form.submit} aria-label="Answer">
      <FormSummary form={form} />
      <DraftNote form={form} />
      <TextField name={`${answerId(remark)}-text`} label="Your answer" long text={form.texts.text} onText={(t) => form.set("text", t)} fault={form.failure?.entries[0]?.message} />
      <div class="row">
        <button type="submit" aria-disabled={form.busy}>
          Send the answer
        </button>
        <button type="button" class="plain" onClick={close}>
          Not now
        </button>
      </div>
    </form>
  );
}

function RestForm({ account, at, remark, changed }: Omit<RemarkProps, "pin" | "onGo">) {
  const form = useForm({
    id: restId(remark),
    account,
    start: { reason: "" },
    fieldOf: (pointer) => (pointer === "/reason" ? `${restId(remark)}-reason` : undefined),
    send: async ({ reason }): Promise<Outcome> => {
      const path = { project: at.project, design: at.design, remark: remark.id };
      const a = await ask(api.POST("/api/v1/projects/{project}/designs/{design}/remarks/{remark}/rest", { params: { path }, body: { reason } }));
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      changed();
      return { done: true };
    },
  });
  const reason = form.failure?.entries.find((e) => e.field !== undefined)?.message;
  return (
    <form class="stack" noValidate onSubmit={form.submit} aria-label="Lay to rest">
      <FormSummary form={form} />
      <TextField name={`${restId(remark)}-reason`} label={remark.who_left ? "Why it needs no more" : "In a word, why it needs no more"} long text={form.texts.reason} onText={(t) => form.set("reason", t)} fault={reason} optional={!remark.who_left} />
      <button type="submit" aria-disabled={form.busy}>
        Lay it to rest for good
      </button>
    </form>
  );
}

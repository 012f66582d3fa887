import { useForm, type Outcome } from "../../forms/form";
import { Dialog } from "../../parts/Dialog/Dialog";
import { DraftNote } from "../../parts/Field/DraftNote";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { pinId, type Pin } from "../sheet/pins";
import { Choices } from "./Choices";
import type { LetterAt } from "./fetch";
import { begins, handOver, remarksPath } from "./outgoing";
import { begin, weights } from "./say";

interface RaiseProps {
  account: number;
  at: LetterAt;
  pin: Pin;
  /** Called when the remark is kept, here or in the notebook; sent tells which. */
  onKept: (sent: boolean) => void;
  onClose: () => void;
}

const choices = weights.map(({ weight, means }) => ({
  value: weight,
  words: (
    <>
      <b>{begin(weight)}</b>: {means}
    </>
  ),
}));

/** Raise leaves a remark on one thing of a sheet. */
export function Raise({ account, at, pin, onKept, onClose }: RaiseProps) {
  const send = async (texts: { weight: string; text: string }, { key }: { key: string }): Promise<Outcome> => {
    const text = texts.text.trim();
    const faults = [
      ...(texts.weight === "" ? [{ field: "weight", message: "Say what weight it has." }] : []),
      ...(text === "" ? [{ field: "text", message: "Write what you found." }] : []),
    ];
    if (faults.length > 0) {
      return { faults };
    }
    const says = `${texts.weight} on ${pin.name}: “${begins(text)}”`;
    const body = { letter: at.letter, pin: { kind: pin.kind, at: pin.at }, weight: texts.weight, text };
    const { kept, trouble } = await handOver({ account, at, says, path: remarksPath(at), body, key });
    if (trouble) {
      return { trouble };
    }
    onKept(!kept);
    return { done: true };
  };
  const form = useForm({ id: `remark-${at.design}-${at.letter}-${pinId(pin)}`, account, start: { weight: "", text: "" }, send });
  return (
    <Dialog title="Leave a remark" onClose={onClose} closeWord="Not now">
      <form class="stack" noValidate onSubmit={form.submit} aria-label="Remark">
        <FormSummary form={form} />
        <p>
          On <b>{pin.name}</b>, letter {at.letter}.
        </p>
        <DraftNote form={form} />
        <Choices name="weight" legend="What weight has it?" choices={choices} chosen={form.texts.weight} onPick={(w) => form.set("weight", w)} fault={form.fault("weight")} />
        <TextField name="text" label="What did you find?" hint="What is there, why it matters, what would put it right." long text={form.texts.text} onText={(t) => form.set("text", t)} fault={form.fault("text")} />
        <button type="submit" aria-disabled={form.busy}>
          Leave the remark
        </button>
      </form>
    </Dialog>
  );
}

import { useState } from "preact/hooks";
import { putAll } from "../../outbox/outbox";
import { sendAsMember } from "../../api/client";
import type { Trouble } from "../../api/problem";
import { TextField } from "../../parts/Field/TextField";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { useUnits, type Units } from "../../system";
import { when } from "../../words";
import { useItemDraft } from "../test/draft";
import type { Reading } from "./fetch";
import { strikeParcel, type Sending } from "./parcels";
import { Budget, sayWorked } from "./Worked";
import { titleOf } from "./words";

interface RecordedProps {
  sending: Sending;
  reading: Reading;
  mayStrike: boolean;
  method: string;
}

/** Recorded is one reading as it came, with what was struck of it, with and without. */
export function Recorded({ sending, reading: r, mayStrike, method }: RecordedProps) {
  const units = useUnits();
  const [striking, setStriking] = useState(false);
  const whole = r.strikes.find((s) => s.position === null);
  return (
    <div class={whole ? "reading struck" : "reading"}>
      <p>
        <TypedValues reading={r} />
      </p>
      <p class="small quiet">
        {method}
        {r.instrument ? `, ${r.instrument.name}${r.instrument.serial ? ` no. ${r.instrument.serial}` : ""}` : ""}. Read by {r.taken_by.name}, {when(r.device_at ?? r.taken_at)}
        {r.reset ? "; the instrument was set up anew between the values" : ""}.
      </p>
      {r.marks.map((m) => (
        <p class={m.code === "not_counted" || m.code === "struck" ? "note" : "warn"} key={m.code}>
          {m.text}
        </p>
      ))}
      {r.strikes.map((s) => (
        <p class="note" key={s.position ?? "all"}>
          {s.position === null ? "Struck through" : `Value ${s.position} struck out`} by {s.by.name}, {when(s.at)}: “{s.reason}”
        </p>
      ))}
      <WithAndWithout reading={r} units={units} />
      <details class="fold">
        <summary>How sure it is, line by line</summary>
        <Budget of={r.result} units={units} />
      </details>
      {mayStrike && !whole ? (
        striking ? (
          <Strike sending={sending} reading={r} close={() => setStriking(false)} />
        ) : (
          <button type="button" class="plain off-paper" onClick={() => setStriking(true)}>
            Strike something of it
          </button>
        )
      ) : null}
    </div>
  );
}

/** TypedValues are the values letter for letter, those that were struck struck through. */
function TypedValues({ reading: r }: { reading: Reading }) {
  const struck = (i: number) => r.strikes.some((s) => s.position === i + 1 || s.position === null);
  return (
    <>
      {r.typed.texts.map((t, i) => (
        <span key={i}>
          {i > 0 ? ", " : ""}
          {struck(i) ? <s>{t}</s> : <b>{t}</b>}
        </span>
      ))}{" "}
      {r.typed.unit}
    </>
  );
}

function WithAndWithout({ reading: r, units }: { reading: Reading; units: Units }) {
  if (r.with_all === null) {
    return <p>It comes to {sayWorked(r.result, units)}.</p>;
  }
  return (
    <p>
      Without what was struck it comes to <b>{sayWorked(r.result, units)}</b>, with it to {sayWorked(r.with_all, units)}.
    </p>
  );
}

/** Strike takes a value or the whole reading out of what counts; it stays to be seen. */
function Strike({ sending, reading: r, close }: { sending: Sending; reading: Reading; close: () => void }) {
  const draft = useItemDraft(sending.account, `run-strike-${r.id}`, { which: "" });
  const [fault, setFault] = useState("");
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const left = r.typed.texts.map((text, i) => ({ text, position: i + 1 })).filter((v) => !r.strikes.some((s) => s.position === v.position));
  const which = draft.texts["which"] ?? "";
  const reason = (draft.texts["reason"] ?? "").trim();
  const send = async (e: Event) => {
    e.preventDefault();
    if (which === "" || reason === "") {
      setFault(which === "" ? "Choose what is to be struck." : "Say why: what is struck stays to be seen, with your reason.");
      return;
    }
    const parcel = strikeParcel(sending, r.id, titleOf({ name: r.quantity, title: r.title }), which === "all" ? null : Number(which), reason, draft.key());
    if (!(await putAll(sending.account, [parcel]))) {
      const a = await sendAsMember(parcel.path, parcel.body);
      if (!a.ok) {
        setTrouble(a.trouble);
        return;
      }
    }
    draft.drop();
    close();
  };
  return (
    <form class="stack strike off-paper" noValidate onSubmit={send} aria-label="Strike something of this reading">
      {fault ? (
        <p class="warn" role="alert">
          {fault}
        </p>
      ) : null}
      {trouble ? <TroubleNote trouble={trouble} /> : null}
      <fieldset>
        <legend>What is wrong</legend>
        {left.length > 1
          ? left.map((v) => (
              <label class="tick" key={v.position}>
                <input type="radio" name={`strike-${r.id}`} checked={which === String(v.position)} onChange={() => draft.set("which", String(v.position))} />
                <span>
                  Value {v.position}: {v.text} {r.typed.unit}
                </span>
              </label>
            ))
          : null}
        <label class="tick">
          <input type="radio" name={`strike-${r.id}`} checked={which === "all"} onChange={() => draft.set("which", "all")} />
          <span>The whole reading</span>
        </label>
      </fieldset>
      <TextField name={`strike-${r.id}-reason`} label="Why" hint="A reason that has to do with the reading, such as a splash or a slip of the thumb. That it does not fit is none." text={draft.texts["reason"] ?? ""} onText={(t) => draft.set("reason", t)} />
      <div class="row">
        <button type="submit">Strike it through</button>
        <button type="button" class="plain" onClick={close}>
          Not now
        </button>
      </div>
    </form>
  );
}

import { useState } from "preact/hooks";
import { Link } from "wouter-preact";
import type { Trouble } from "../../api/problem";
import { TextField } from "../../parts/Field/TextField";
import { timeText } from "../../parts/SeriesChart/span";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { useUnits, type Units } from "../../system";
import { when } from "../../words";
import type { RunAddress } from "../run/fetch";
import { titleOf } from "../run/words";
import { Budget, sayWorked } from "../run/Worked";
import { useItemDraft } from "../test/draft";
import { decideWindow, filePath, sentPath, type Window } from "./fetch";
import { saySteady } from "./found";
import { sayLeak } from "./leak";
import { Numbers } from "./Numbers";
import "./page.css";

interface WindowItemProps {
  account: number;
  at: RunAddress;
  window: Window;
  /** The person may strike in this run. */
  mayStrike: boolean;
  /** Something was decided about it. */
  changed: () => void;
}

const answers: Record<Window["decisions"][number]["decide"], string> = { keep: "The values that stand out are kept", leave_out: "The values that stand out are left out", strike: "Struck through" };

/** WindowItem is a part of a series that counts as a reading, with what was found in it and what was decided. */
export function WindowItem({ account, at, window: w, mayStrike, changed }: WindowItemProps) {
  const units = useUnits();
  const struck = w.decisions.some((d) => d.decide === "strike");
  const [deciding, setDeciding] = useState(w.open);
  const step = w.to_s - w.from_s < 60 ? 0.1 : 1;
  return (
    <div class={struck ? "reading window struck" : "reading window"}>
      <p>
        From {timeText(w.from_s, step)} to {timeText(w.to_s, step)} of {w.file === null ? <Link href={sentPath({ ...at, logger: w.logger ?? 0 })}>what a logger sent</Link> : <Link href={filePath({ ...at, file: w.file })}>a logger’s file</Link>}
        {w.start ? ` (which begins ${when(w.start)})` : ""}. <b>{saySteady({ status: w.status, reason: "" })}</b>
      </p>
      <p class="small quiet">
        Looked at: {timeText(w.window.from_s, step)} to {timeText(w.window.to_s, step)}
        {w.window.cut_s > 0 ? `; the first ${timeText(w.window.cut_s, 0.1)} were cut` : ""}. Taken by {w.taken_by.name}, {when(w.taken_at)}.
      </p>
      {w.channels.map((c) => (
        <OfChannel key={c.channel} of={c} units={units} />
      ))}
      {w.decisions.map((d) => (
        <p class="note" key={d.at}>
          {answers[d.decide]}, says {d.by.name}, {when(d.at)}: “{d.reason}”
        </p>
      ))}
      {mayStrike && !struck ? (
        deciding ? (
          <Decide account={account} at={at} window={w} changed={changed} close={() => setDeciding(false)} />
        ) : (
          <button type="button" class="plain off-paper" onClick={() => setDeciding(true)}>
            {w.decide ? "Say what becomes of the values that stand out, or strike it through" : "Strike it through"}
          </button>
        )
      ) : null}
    </div>
  );
}

function OfChannel({ of: c, units }: { of: Window["channels"][number]; units: Units }) {
  return (
    <section aria-label={`Column ${c.channel}`}>
      <p>
        {c.quantity === "" ? (c.decay ? "Leak of the vessel" : `${c.channel}, only looked at`) : titleOf({ name: c.quantity, title: c.title })}
        {c.result ? (
          <>
            : <b>{sayWorked(c.result, units)}</b>
          </>
        ) : null}{" "}
        <span class="small quiet">
          column {c.channel}
          {c.instrument ? `, ${c.instrument.name}` : ""}
          {c.quantity === "" ? "" : c.counts ? ", counts" : ", does not count"}
        </span>
      </p>
      {c.leak ? <p>{sayLeak(c.leak, units)}</p> : null}
      {c.marks.map((m) => (
        <p class={m.code === "not_counted" || m.code === "struck" ? "note" : "warn"} key={m.code}>
          {m.text}
        </p>
      ))}
      {c.found || c.result ? (
        <details class="fold">
          <summary>Its numbers, and how sure they are</summary>
          {c.found ? <Numbers of={c.found} units={units} /> : null}
          {c.result ? <Budget of={c.result} units={units} /> : null}
        </details>
      ) : null}
    </section>
  );
}

/** Decide says what becomes of a window: it stays to be seen, with the reason. */
function Decide({ account, at, window: w, changed, close }: Omit<WindowItemProps, "mayStrike"> & { close: () => void }) {
  const draft = useItemDraft(account, `window-decide-${w.id}`, w.decide ? {} : { decide: "strike" });
  const [fault, setFault] = useState("");
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const decide = draft.texts["decide"] ?? "";
  const reason = (draft.texts["reason"] ?? "").trim();
  const send = async (e: Event) => {
    e.preventDefault();
    if (!(decide === "keep" || decide === "leave_out" || decide === "strike") || reason === "") {
      setFault(reason === "" && decide !== "" ? "Say why: it stays to be seen, with your reason." : "Choose what becomes of it.");
      return;
    }
    setFault("");
    const a = await decideWindow(at, w.id, { decide, reason, client_key: draft.key() });
    setTrouble(a.ok ? null : a.trouble);
    if (a.ok) {
      draft.drop();
      changed();
      close();
    } else if (a.trouble.kind === "invalid") {
      draft.renew();
    }
  };
  const choices = w.decide ? (["keep", "leave_out", "strike"] as const) : (["strike"] as const);
  const words = { keep: "Keep the values that stand out: they belong to what was measured", leave_out: "Leave them out of the mean: they come from something else", strike: "Strike all of it through: it is no reading" };
  return (
    <form class="stack strike off-paper" noValidate onSubmit={(e) => void send(e)} aria-label="What becomes of this part">
      {fault ? (
        <p class="warn" role="alert">
          {fault}
        </p>
      ) : null}
      {trouble ? <TroubleNote trouble={trouble} /> : null}
      <fieldset>
        <legend>What becomes of it</legend>
        {choices.map((c) => (
          <label class="tick" key={c}>
            <input type="radio" name={`window-${w.id}`} checked={decide === c} onChange={() => draft.set("decide", c)} />
            <span>{words[c]}</span>
          </label>
        ))}
      </fieldset>
      <TextField name={`window-${w.id}-reason`} label="Why" hint="A reason that has to do with the measuring. That it does not fit is none." text={draft.texts["reason"] ?? ""} onText={(t) => draft.set("reason", t)} />
      <div class="row">
        <button type="submit">Say so</button>
        <button type="button" class="plain" onClick={close}>
          Not now
        </button>
      </div>
    </form>
  );
}

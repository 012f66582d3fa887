import { useState } from "preact/hooks";
import type { Fault, Trouble } from "../../api/problem";
import { ErrorSummary } from "../../parts/ErrorSummary/ErrorSummary";
import { TextField } from "../../parts/Field/TextField";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { useItemDraft } from "../test/draft";
import { answerOf, columnOf, columnsAsked, textsFrom } from "./answers";
import { readFile, type FileAddress, type SeriesFile } from "./fetch";

interface QuestionsProps {
  account: number;
  /** The time zone of the group. */
  zone: string;
  at: FileAddress;
  file: SeriesFile;
  /** What the reader asked the last time; none before it was asked, or when it was read. */
  faults: Fault[];
  read: (f: SeriesFile) => void;
}

const someUnits = "Such as bar, kPa, psi, bar g, °C, K, L/min, L/s, m3/h, m, mm, %, Hz, or 1 for a plain number. Capitals count.";

/** Questions asks what a file does not say itself, and has it read with the answers. Nothing is guessed. */
export function Questions({ account, zone, at, file, faults: first, read }: QuestionsProps) {
  const draft = useItemDraft(account, `series-${at.build}-${at.run}-${at.file}`, file.read ? textsFrom(file.read.asked) : {});
  const { texts, set } = draft;
  const [faults, setFaults] = useState(first);
  const [attempt, setAttempt] = useState(1);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const [busy, setBusy] = useState(false);
  const named = file.read?.report.channels.map((c) => c.name) ?? [];
  const [asked, setAsked] = useState(columnsAsked(first));
  const columns = [...new Set([...named, ...asked])];
  const others = faults.filter((f) => columnOf(f) === null && f.pointer !== "/zone" && f.pointer !== "/time");
  const idOf = (f: Fault) => (f.pointer === "/zone" ? "series-zone" : f.pointer === "/time" ? "series-time" : `series-unit-${columns.indexOf(columnOf(f) ?? "")}`);
  const faultAt = (id: string) => faults.find((f) => !others.includes(f) && idOf(f) === id)?.message;
  const submit = async (e: Event) => {
    e.preventDefault();
    if (busy) {
      return;
    }
    setBusy(true);
    const a = await readFile(at, answerOf(texts));
    setBusy(false);
    setTrouble(a.ok || a.trouble.faults.length > 0 ? null : a.trouble);
    if (a.ok) {
      draft.drop();
      setFaults([]);
      read(a.data);
      return;
    }
    setFaults(a.trouble.faults);
    setAsked((before) => [...new Set([...before, ...columnsAsked(a.trouble.faults)])]);
    setAttempt((n) => n + 1);
  };
  return (
    <form class="stack questions off-paper" noValidate onSubmit={(e) => void submit(e)} aria-label="What the file does not say itself">
      {faults.length > 0 ? (
        <ErrorSummary
          title="The file can’t be read as it is. It is kept: answer what is asked, and have it read again."
          entries={faults.map((f) => (others.includes(f) ? { message: f.message } : { field: idOf(f), message: f.message }))}
          attempt={attempt}
        />
      ) : null}
      {trouble ? <TroubleNote trouble={trouble} /> : null}
      {others.length > 0 ? <p>What has to be changed in the file itself is sent as a new one. A column that is not needed can be left out here instead.</p> : null}
      {columns.map((c, n) => {
        const left = texts[`leave ${c}`] === "yes";
        return (
          <fieldset class="of-channel" key={c}>
            <legend>{c}</legend>
            {left ? null : <TextField name={`series-unit-${n}`} label="Its unit" hint={faultAt(`series-unit-${n}`) ? undefined : someUnits} optional={named.includes(c)} text={texts[`unit ${c}`] ?? ""} onText={(t) => set(`unit ${c}`, t)} fault={faultAt(`series-unit-${n}`)} />}
            <label class="tick">
              <input type="checkbox" checked={left} onChange={(e) => set(`leave ${c}`, e.currentTarget.checked ? "yes" : "")} />
              <span>Leave this column out</span>
            </label>
          </fieldset>
        );
      })}
      <TextField name="series-zone" label="Time zone of its dates" hint={`Only where they have none. Such as +01:00, or ${zone}.`} optional={faultAt("series-zone") === undefined} text={texts["zone"] ?? ""} onText={(t) => set("zone", t)} fault={faultAt("series-zone")} />
      <TextField name="series-time" label="Column of the times" hint="Empty: the first." optional text={texts["time"] ?? ""} onText={(t) => set("time", t)} fault={faultAt("series-time")} />
      <TextField name="series-without" label="Other columns to leave out" hint="The names of columns, one on each line." long optional text={texts["without"] ?? ""} onText={(t) => set("without", t)} />
      <button type="submit" aria-disabled={busy}>
        {busy ? "Reading it …" : file.read ? "Read it again with this" : "Have it read"}
      </button>
    </form>
  );
}

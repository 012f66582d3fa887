import { useRef, useState } from "preact/hooks";
import { Link } from "wouter-preact";
import { sendForm, type Travelled } from "../../api/carry";
import { newKey, type Schema } from "../../api/client";
import { offline } from "../../api/problem";
import type { Member } from "../../api/session";
import { useForm, type Outcome } from "../../forms/form";
import type { Entry } from "../../parts/ErrorSummary/ErrorSummary";
import { Field } from "../../parts/Field/Field";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { Way } from "../../parts/TakeAlong/Way";
import "../../parts/TakeAlong/takealong.css";
import "./page.css";

/** The most bytes that a server takes, as the contract says. */
const most = 256 * 2 ** 20;

/** The file that is to be brought in, with the key that lets it be sent again. */
interface Chosen {
  file: File;
  key: string;
}

/** ImportForm takes the file and the password of the keeper who signs. */
export function ImportForm({ member, here }: { member: Member; here: (p: Schema<"Project">) => void }) {
  const [start] = useState({ archive: "", password: "" });
  const chosen = useRef<Chosen | null>(null);
  const [again, setAgain] = useState(false);
  const [there, setThere] = useState<number | null>(null);
  const [way, setWay] = useState<Travelled | null>(null);
  const form = useForm<"archive" | "password">({
    id: "import",
    account: null,
    start,
    send: async ({ password }): Promise<Outcome> => {
      const faults = faultsOf(chosen.current, password);
      if (faults.length > 0 || !chosen.current) {
        return { faults };
      }
      setWay({ done: 0, whole: chosen.current.file.size });
      const a = await sendForm<Schema<"Project">>("/api/v1/projects/import", filled(chosen.current, password, again), setWay);
      setWay(null);
      if (a.ok) {
        here(a.data);
        return { done: true };
      }
      if (a.trouble.project !== undefined) {
        setThere(a.trouble.project);
      }
      return { trouble: a.trouble.kind === "offline" ? { ...offline, detail: unsure } : a.trouble };
    },
  });
  const choose = (file: File | undefined) => {
    chosen.current = file ? { file, key: newKey() } : null;
    setThere(null);
    setAgain(false);
  };
  const arrived = way !== null && way.whole !== null && way.done >= way.whole;
  return (
    <form class="stack" noValidate onSubmit={form.submit} aria-label="Project of another group">
      <FormSummary form={form} />
      {there === null ? null : <There project={there} again={again} setAgain={setAgain} />}
      <Field name="archive" label="File" hint="The zip file as it was downloaded, not unpacked; at most 256 MiB." fault={form.fault("archive")}>
        {(control) => <input {...control} type="file" accept=".zip,application/zip" disabled={form.busy} onChange={(e) => choose(e.currentTarget.files?.[0])} />}
      </Field>
      <TextField
        name="password"
        label={`Password of ${member.name}`}
        hint="That you bring it in is signed, and stays on the record."
        type="password"
        autocomplete="current-password"
        text={form.texts.password}
        onText={(t) => form.set("password", t)}
        fault={form.fault("password")}
      />
      <button type="submit" aria-disabled={form.busy}>
        Bring it in
      </button>
      <p role="status">{way === null ? "" : arrived ? "It has arrived. It is looked through and brought in …" : "It is on its way. Stay on this page until it is here."}</p>
      {way === null || arrived ? null : <Way label="Sent so far" of={way} />}
    </form>
  );
}

const unsure = "Nobody knows yet whether it arrived. Send it again as it is when you have signal: it is brought in once.";

/** There leads to what was brought in from this very file, and lets it be brought in once more. */
function There({ project, again, setAgain }: { project: number; again: boolean; setAgain: (again: boolean) => void }) {
  return (
    <div>
      <p>
        <Link href={`/projects/${project}`}>Open the project that is here already</Link>
      </p>
      <label class="second-time">
        <input type="checkbox" checked={again} onChange={(e) => setAgain(e.currentTarget.checked)} /> Bring it in a second time, as a project of its own
      </label>
    </div>
  );
}

function faultsOf(chosen: Chosen | null, password: string): Entry[] {
  const faults: Entry[] = [];
  if (!chosen) {
    faults.push({ field: "archive", message: "Choose the file." });
  } else if (chosen.file.size > most) {
    faults.push({ field: "archive", message: "This file has more than 256 MiB, which is more than is taken here." });
  }
  if (password === "") {
    faults.push({ field: "password", message: "Type your password." });
  }
  return faults;
}

/** filled makes the form that the notebook wants: the archive last. */
function filled({ file, key }: Chosen, password: string, again: boolean): FormData {
  const form = new FormData();
  form.set("client_key", key);
  form.set("password", password);
  form.set("again", String(again));
  form.set("archive", file);
  return form;
}

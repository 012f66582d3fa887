import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import { api, ask, type Schema } from "../../api/client";
import type { Trouble } from "../../api/problem";
import type { Member } from "../../api/session";
import { Dialog } from "../../parts/Dialog/Dialog";
import { Stamp } from "../../parts/Stamp/Stamp";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { when } from "../../words";
import { Attached } from "./Attached";
import { SignReason } from "./SignReason";
import { WriteEntry } from "./WriteEntry";

export type Entry = Schema<"LogEntry">;

interface EntryLineProps {
  entry: Entry;
  /** The entries on the page: corrections lead from one to the other. */
  all: Entry[];
  project: number;
  member: Member;
  /** What it is about, on a page about more than one machine. */
  machine: ComponentChildren;
  changed: (e: Entry) => void;
}

const late_ms = 10 * 60_000; // an entry written so much later says both moments

/** EntryLine is one entry: what, when, who, its pictures, and what can be done about it. It is never changed; a correction strikes it through. */
export function EntryLine({ entry: e, all, project, member, machine, changed }: EntryLineProps) {
  const [correcting, setCorrecting] = useState(false);
  const late = Math.abs(Date.parse(e.at) - Date.parse(e.happened_at)) > late_ms;
  const may = (action: Schema<"AllowedAction">) => e.allowed_actions.includes(action);
  const close = () => setCorrecting(false);
  return (
    <li id={`entry-${e.id}`} class={e.struck_by === null ? undefined : "struck"}>
      <p class="entry-head">
        <b>{when(e.happened_at)}</b> <span>{e.by.name}</span> {machine}
        {late ? <span class="quiet small">written {when(e.at)}</span> : null}
      </p>
      {e.strikes === null ? null : <p class="small">Corrects {entryLink(e.strikes, all)}.</p>}
      {e.text === "" ? null : <p class="entry-text">{e.struck_by === null ? e.text : <s>{e.text}</s>}</p>}
      {e.struck_by === null ? null : <p class="small">Struck through: {entryLink(e.struck_by, all)} corrects it.</p>}
      {e.incident ? <Incident of={e.incident} /> : null}
      {e.files.length > 0 ? <Attached entry={e} project={project} member={member} changed={changed} /> : null}
      {correcting ? (
        <WriteEntry writing={{ account: member.id, project, build: e.build, strikes: e.id, zone: member.time_zone }} written={close} close={close} />
      ) : (
        <div class="row off-paper">
          {may("correct_log") ? (
            <button type="button" class="plain" aria-label={`Correct it: the entry of ${when(e.happened_at)}`} onClick={() => setCorrecting(true)}>
              Correct it
            </button>
          ) : null}
          {may("mark_incident") ? <Mark entry={e} project={project} changed={changed} /> : null}
          {may("rest_incident") ? <Rest entry={e} project={project} member={member} changed={changed} /> : null}
        </div>
      )}
    </li>
  );
}

function entryLink(id: number, all: Entry[]) {
  const e = all.find((x) => x.id === id);
  return e ? <a href={`#entry-${id}`}>the entry of {when(e.happened_at)}</a> : "an entry that is not on this page";
}

function Incident({ of: i }: { of: NonNullable<Entry["incident"]> }) {
  return i.rest ? (
    <p class="small">
      <Stamp word="incident, at rest" /> Marked by {i.marked_by.name}. {i.rest.by.name} signed on {when(i.rest.at)} that it did no harm: “{i.rest.reason}”
    </p>
  ) : (
    <p class="warn">
      <Stamp word="incident" danger /> Marked by {i.marked_by.name}, {when(i.marked_at)}. Until a steward who did not build it signs that it did no harm, no certificate of it holds: keep the
      pressure off. {i.lacking}
    </p>
  );
}

interface ActProps {
  entry: Entry;
  project: number;
  changed: (e: Entry) => void;
}

function Mark({ entry, project, changed }: ActProps) {
  const [open, setOpen] = useState(false);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const go = async () => {
    const a = await ask(api.POST("/api/v1/projects/{project}/log/{entry}/incident", { params: { path: { project, entry: entry.id } } }));
    setTrouble(a.ok ? null : a.trouble);
    if (a.ok) {
      setOpen(false);
      changed(a.data);
    }
  };
  return (
    <>
      <button type="button" class="plain" aria-label={`Mark as an incident: the entry of ${when(entry.happened_at)}`} onClick={() => setOpen(true)}>
        Mark as an incident
      </button>
      {open ? (
        <Dialog title="Mark this entry as an incident?" closeWord="Not now" onClose={() => setOpen(false)}>
          <p>
            Over-pressure, a leak, a blow, frost, a relief that lifted, somebody hurt: the certificate of the machine does not hold from then on. The mark stays; a steward who did not build it may
            sign that it did no harm.
          </p>
          {trouble ? <TroubleNote trouble={trouble} again={() => void go()} /> : null}
          <button type="button" onClick={() => void go()}>
            Mark as an incident
          </button>
        </Dialog>
      ) : null}
    </>
  );
}

function Rest({ entry, project, member, changed }: ActProps & { member: Member }) {
  const [open, setOpen] = useState(false);
  const signed = (e: Entry) => {
    setOpen(false);
    changed(e);
  };
  return (
    <>
      <button type="button" class="second" onClick={() => setOpen(true)}>
        Sign that it did no harm
      </button>
      {open ? (
        <Dialog title="Sign that it did no harm" closeWord="Not now" onClose={() => setOpen(false)}>
          <SignReason
            name={`rest-${entry.id}`}
            member={member}
            about="What was looked at, and why it did no harm"
            says="You sign, as a steward who did not build it, that this incident did no harm to the machine."
            word="Sign"
            sign={(body) => ask(api.POST("/api/v1/projects/{project}/log/{entry}/rest", { params: { path: { project, entry: entry.id } }, body }))}
            signed={signed}
          />
        </Dialog>
      ) : null}
    </>
  );
}

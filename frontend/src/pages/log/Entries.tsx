import { useState } from "preact/hooks";
import { Link } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import type { Trouble } from "../../api/problem";
import type { Member } from "../../api/session";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { Waiting } from "../../parts/Trouble/Waiting";
import { buildPath } from "../build/fetch";
import { tagName } from "../build/states";
import { EntryLine, type Entry } from "./EntryLine";

interface EntriesProps {
  member: Member;
  project: number;
  build: number | null;
  machines: Schema<"BuildHead">[];
  /** Counts what was sent: with each the list is read anew. */
  sent: number;
}

/** fetchLog asks for a page of a log, the newest first. */
function fetchLog(project: number, build: number | null, before?: number) {
  const query = { limit: 20, ...(build === null ? {} : { build }), ...(before === undefined ? {} : { before }) };
  return ask(api.GET("/api/v1/projects/{project}/log", { params: { path: { project }, query } }));
}

/** Entries are the entries of a log, the newest first, page by page. */
export function Entries({ member, project, build, machines, sent }: EntriesProps) {
  const { loaded, again } = useLoad<Schema<"Log">>(() => fetchLog(project, build), [project, build ?? 0, sent]);
  const [older, setOlder] = useState<{ items: Entry[]; next: number | null } | null>(null);
  const [acted, setActed] = useState<Record<number, Entry>>({});
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  if (loaded.state !== "here") {
    return <Waiting loaded={loaded} again={again} />;
  }
  const first = loaded.data.items;
  const rest = (older?.items ?? []).filter((e) => !first.some((f) => f.id === e.id));
  const all = [...first, ...rest].map((e) => newer(e, acted[e.id], first));
  const next = older ? older.next : loaded.data.next;
  const more = async () => {
    const a = await fetchLog(project, build, next ?? undefined);
    setTrouble(a.ok ? null : a.trouble);
    if (a.ok) {
      setOlder({ items: [...(older?.items ?? []), ...a.data.items], next: a.data.next });
    }
  };
  if (all.length === 0) {
    return <p>Nothing is written yet. Write down what was done and seen, with a picture where it helps: whoever comes after you has nothing else.</p>;
  }
  return (
    <>
      <ol class="entries" aria-label="Entries, the newest first">
        {all.map((e) => (
          <EntryLine
            key={e.id}
            entry={e}
            all={all}
            project={project}
            member={member}
            machine={build === null ? <Machine of={e} project={project} machines={machines} /> : null}
            changed={(x) => setActed((c) => ({ ...c, [x.id]: x }))}
          />
        ))}
      </ol>
      {trouble ? <TroubleNote trouble={trouble} again={() => void more()} /> : null}
      {next === null ? null : (
        <button type="button" class="second" onClick={() => void more()}>
          Older entries
        </button>
      )}
    </>
  );
}

/** newer takes what an act on an entry answered, and that a correction on the page strikes it through. */
function newer(read: Entry, acted: Entry | undefined, first: Entry[]): Entry {
  const e = acted ?? read;
  const correction = read.struck_by ?? first.find((f) => f.strikes === e.id)?.id ?? e.struck_by;
  return { ...e, struck_by: correction, allowed_actions: correction === null ? e.allowed_actions : e.allowed_actions.filter((a) => a !== "correct_log") };
}

/** Machine leads to the machine that an entry is about; nothing where it is about the project as a whole. */
function Machine({ of, project, machines }: { of: Entry; project: number; machines: Schema<"BuildHead">[] }) {
  if (of.build === null) {
    return null;
  }
  const m = machines.find((x) => x.id === of.build);
  return <Link href={buildPath({ project, build: of.build })}>{m ? `Machine ${tagName(m.tag)}, ${m.title}` : "A machine"}</Link>;
}

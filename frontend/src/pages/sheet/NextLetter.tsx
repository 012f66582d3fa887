import { useState } from "preact/hooks";
import { api, ask, type Schema } from "../../api/client";
import type { Trouble } from "../../api/problem";
import { useSession } from "../../api/session";
import { Dialog } from "../../parts/Dialog/Dialog";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import type { Ref } from "./refs";

interface NextLetterProps {
  design: Schema<"Design">;
  etag: string | null;
  /** The sheet to copy; the newest when it is left out. */
  from?: Ref;
  /** There is text in a form that no sheet has. */
  unsaved?: boolean;
  /** It is the one thing to do next. */
  first?: boolean;
  onStarted: (design: Schema<"Design">, etag: string | null) => void;
}

/** NextLetter starts the letter after one that is frozen, with a copy, after saying what that means. It is not for a draft, which takes its next sheet. */
export function NextLetter({ design, etag, from, unsaved = false, first = false, onStarted }: NextLetterProps) {
  const [asking, setAsking] = useState(false);
  const [busy, setBusy] = useState(false);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const session = useSession();
  const { letter, sheet_count } = design.revision;
  const copied = from ? `${from.letter}.${from.number}` : `${letter}.${sheet_count}`;

  const start = async () => {
    if (busy) {
      return;
    }
    setBusy(true);
    const path = { project: design.project, design: design.id };
    const body = from ? { from } : {};
    const a = await ask(api.POST("/api/v1/projects/{project}/designs/{design}/revisions", { params: { path, header: { "If-Match": etag ?? "" } }, body }));
    const made = a.ok ? a : await startedBefore();
    setBusy(false);
    if (made) {
      setAsking(false);
      onStarted(made.data, made.etag);
    } else {
      setTrouble(a.ok ? null : a.trouble);
    }
  };
  /** The answer to an earlier try may have been lost on the way: then the next letter is there, and one's own. */
  const startedBefore = async () => {
    const now = await ask(api.GET("/api/v1/projects/{project}/designs/{design}", { params: { path: { project: design.project, design: design.id } } }));
    const own = now.ok && "member" in session && now.data.revision.started_by.id === session.member.id;
    return own && now.data.revision.letter !== letter && now.data.revision.sheet_count === 1 ? now : null;
  };

  return (
    <>
      <button type="button" class={first ? "" : "second"} onClick={() => setAsking(true)}>
        Start the next letter{from ? ` with a copy of ${copied}` : ""}
      </button>
      {asking ? (
        <Dialog title={`Leave letter ${letter} behind?`} onClose={() => setAsking(false)} closeWord={`Stay with letter ${letter}`}>
          <p>Letter {letter} stays as it is, with all that was said about it. Remarks that stand open go along.</p>
          <p>The next letter begins with a copy of {copied}, calculated again with today’s calculation.</p>
          {unsaved ? <p>What you typed and have not saved stays in the form and goes on under the next letter.</p> : null}
          {trouble ? <TroubleNote trouble={trouble} /> : null}
          <p>
            <button type="button" aria-disabled={busy} onClick={() => void start()}>
              {busy ? "Starting …" : "Start the next letter"}
            </button>
          </p>
        </Dialog>
      ) : null}
    </>
  );
}

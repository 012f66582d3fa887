import { Link } from "wouter-preact";
import type { Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { Waiting } from "../../parts/Trouble/Waiting";
import { TakeBack } from "../check/Ends";
import { fetchCheck, type Check } from "../check/fetch";
import { sayCheck, sayOpen } from "../check/say";
import { NextLetter } from "./NextLetter";
import { checkPath } from "./refs";

interface FrozenProps {
  account: number;
  design: Schema<"Design">;
  etag: string | null;
  /** The reader is on the crew. */
  crew: boolean;
  unsaved: boolean;
  /** The next letter was started. */
  onStarted: (design: Schema<"Design">, etag: string | null) => void;
  /** The state of this letter is another one. */
  onChanged: (state: Schema<"RevisionState">, etag: string | null) => void;
}

/** Frozen says over a letter that takes no more sheets how things stand with it, and what can be done. */
export function Frozen({ account, design, etag, crew, unsaved, onStarted, onChanged }: FrozenProps) {
  const { letter, state } = design.revision;
  const at = { project: design.project, design: design.id, letter };
  const { loaded, again } = useLoad<Check>(() => fetchCheck(at), [design.id, letter, state]);
  if (loaded.state !== "here") {
    return <Waiting loaded={loaded} again={again} />;
  }
  const check = loaded.data;
  const changed = (now: Check | null, version: string | null) => (now ? onChanged(now.state, version) : again());
  return (
    <section class="frozen off-paper" aria-label="How things stand with this letter">
      <p>
        <b>{sayCheck(check)}</b> {sayOpen(check.open_remarks)}
      </p>
      <p class="small">
        It is frozen: figures can be tried here, and nothing is saved.
        {state === "in_check" && crew ? " To change it, take it back, or wait until it is returned or cleared." : ""}
      </p>
      <div class="row">
        <Link class={state === "returned" && crew ? "do second" : "do"} href={checkPath(design.project, design.id, letter)}>
          {state === "in_check" ? "To its check" : "What was said about it"}
        </Link>
        {check.allowed_actions.includes("take_back_revision") ? <TakeBack account={account} at={at} etag={loaded.etag} changed={changed} /> : null}
        {state !== "in_check" && crew ? <NextLetter design={design} etag={etag} unsaved={unsaved} first={state === "returned"} onStarted={onStarted} /> : null}
      </div>
    </section>
  );
}

import { useState } from "preact/hooks";
import type { Answer, Schema } from "../../api/client";
import type { Trouble } from "../../api/problem";
import { Dialog } from "../../parts/Dialog/Dialog";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { day, listed } from "../../words";
import { Bring } from "./Bring";
import { broughtIn } from "./origin";
import { crewMeans, leave, sayAnswer, withdraw } from "./asks";
import "./crew.css";

type Project = Schema<"Project">;

/** What a change of the crew came to, for the page to draw. */
export type Take = (a: Answer<Project>) => boolean;

/** Crew is who works on a project, who is asked to, and the way on and off. */
export function Crew({ project: p, me, changed, again }: { project: Project; me: number; changed: (p: Project) => void; again: () => void }) {
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const take: Take = (a) => {
    setTrouble(a.ok ? null : a.trouble);
    if (a.ok) {
      changed(a.data);
    }
    return a.ok;
  };
  const may = (action: Schema<"AllowedAction">) => p.allowed_actions.includes(action);
  return (
    <section class="crew off-paper" aria-labelledby="crew-title">
      <h2 id="crew-title">Crew</h2>
      {p.crew.length > 0 ? <p>{listed(p.crew.map((c) => (c.id === me ? `${c.name} (you)` : c.name)))}</p> : <Deserted project={p} />}
      {p.former_crew.length > 0 ? <p class="quiet small">On it before: {listed(p.former_crew.map((c) => c.name))}.</p> : null}
      {p.asks.length > 0 ? (
        <ul class="crew-asks">
          {p.asks.map((a) => (
            <AskLine key={a.id} of={a} mine={a.member.id === me} may={may("ask_crew")} take={take} />
          ))}
        </ul>
      ) : null}
      {trouble ? <TroubleNote trouble={trouble} again={again} /> : null}
      <div class="row">
        {may("ask_crew") || may("add_to_crew") ? <Bring project={p.id} deserted={may("add_to_crew")} take={take} fail={setTrouble} /> : null}
        {may("leave_crew") ? <Leave project={p} take={take} /> : null}
      </div>
    </section>
  );
}

function Deserted({ project: p }: { project: Project }) {
  return (
    <p>
      <b>{p.origin ? "Nobody of this group is on the crew." : "Nobody is left on the crew."}</b> {p.origin ? `${broughtIn(p.origin)}. ` : ""}The project can be read and not changed. A keeper can add somebody:{" "}
      {listed(p.keepers.map((k) => k.name))}.
    </p>
  );
}

function AskLine({ of: a, mine, may, take }: { of: Schema<"Ask">; mine: boolean; may: boolean; take: Take }) {
  if (mine) {
    return (
      <li>
        <p>
          <b>{a.asked_by.name} asks you to join.</b> {crewMeans}
        </p>
        <div class="row">
          <button type="button" onClick={() => void sayAnswer(a, true).then(take)}>
            Join the crew
          </button>
          <button type="button" class="second" onClick={() => void sayAnswer(a, false).then(take)}>
            Say no
          </button>
        </div>
      </li>
    );
  }
  return (
    <li class="asked">
      <span>
        {a.member.name}, asked by {a.asked_by.name} on {day(a.asked_at)}, has not answered yet.
      </span>
      {may ? (
        <button type="button" class="plain" aria-label={`Withdraw the ask to ${a.member.name}`} onClick={() => void withdraw(a).then(take)}>
          Withdraw
        </button>
      ) : null}
    </li>
  );
}

function Leave({ project: p, take }: { project: Project; take: Take }) {
  const [open, setOpen] = useState(false);
  const go = async () => {
    setOpen(false);
    take(await leave(p.id));
  };
  return (
    <>
      <button type="button" class="plain" onClick={() => setOpen(true)}>
        Leave the crew
      </button>
      {open ? (
        <Dialog title="Leave the crew?" closeWord="Stay on it" onClose={() => setOpen(false)}>
          <p>You can then read the project and not change it. You still may not check its designs, since you were on its crew.</p>
          <p>
            {p.crew.length > 1
              ? "The crew can ask you again."
              : `You are the last. Nobody can change the project then, until a keeper adds somebody: ${listed(p.keepers.map((k) => k.name))}.`}
          </p>
          <button type="button" onClick={() => void go()}>
            Leave the crew
          </button>
        </Dialog>
      ) : null}
    </>
  );
}

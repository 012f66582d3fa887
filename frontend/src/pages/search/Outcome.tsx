import { api, ask, type Schema } from "../../api/client";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { useUnits } from "../../system";
import { Proposal } from "./Proposal";
import { outcome, say, tried } from "./say";
import { useLate, type Watched } from "./watch";

interface Props {
  account: number;
  project: number | null;
  watched: Watched;
  again: () => void;
  onCancelled: () => void;
}

/** Outcome is how far a search is, and what it found. */
export function Outcome({ account, project, watched, again, onCancelled }: Props) {
  switch (watched.state) {
    case "none":
      return null;
    case "gone":
      return (
        <div class="warn" role="alert">
          <p>{watched.detail}</p>
        </div>
      );
    case "trouble":
      return <TroubleNote trouble={watched.trouble} again={again} />;
    case "seen":
      return watched.search.answer ? (
        <Answer account={account} project={project} answer={watched.search.answer} />
      ) : (
        <UnderWay search={watched.search} onCancelled={onCancelled} />
      );
  }
}

function UnderWay({ search: s, onCancelled }: { search: Schema<"Search">; onCancelled: () => void }) {
  const late = useLate(true);
  const cancel = async () => {
    await ask(api.DELETE("/api/v1/searches/{search}", { params: { path: { search: s.id } } }));
    onCancelled(); // without an answer too: it ends by itself
  };
  if (!late) {
    return <p role="status">Looking …</p>;
  }
  return (
    <div class="under-way">
      <p role="status">{s.state === "waiting" ? "Other members are looking too. Your search begins as soon as one of theirs has ended." : "Looking …"}</p>
      <label>
        {tried(s)}
        <progress max={s.of} value={s.done} />
      </label>
      <button type="button" class="second" onClick={() => void cancel()}>
        Cancel the search
      </button>
    </div>
  );
}

function Answer({ account, project, answer: a }: { account: number; project: number | null; answer: Schema<"SearchAnswer"> }) {
  const units = useUnits();
  return (
    <section class="proposals" aria-label="What the site can give">
      <h2>{a.proposals.length > 0 ? "What the site can give" : "No machine to propose"}</h2>
      <p role="status">{outcome(a)}</p>
      {a.lacking ? <p>{say(a.lacking, units)}</p> : null}
      {a.proposals.length > 0 ? (
        <>
          <p class="quiet">These are predictions without their spread; a saved draft has it. None is checked for strength yet: the sheet of the draft says what may be built.</p>
          <ol>
            {a.proposals.map((p, i) => (
              <Proposal key={i} number={i + 1} proposal={p} account={account} project={project} />
            ))}
          </ol>
        </>
      ) : null}
    </section>
  );
}

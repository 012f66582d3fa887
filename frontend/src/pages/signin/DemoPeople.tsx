import { useState } from "preact/hooks";
import { failureOf, type Failure } from "../../forms/form";
import { ErrorSummary } from "../../parts/ErrorSummary/ErrorSummary";
import { signIn } from "./Page";

export interface DemoPerson {
  name: string;
  address: string;
  password: string;
  about: string;
}

/** DemoPeople lets a visitor of a demo choose whose eyes to look through. */
export function DemoPeople({ people }: { people: DemoPerson[] }) {
  const [failure, setFailure] = useState<Failure | null>(null);
  const [attempt, setAttempt] = useState(0);
  const enter = async (p: DemoPerson) => {
    const outcome = await signIn(p);
    if ("trouble" in outcome || "faults" in outcome) {
      setFailure(failureOf(outcome, () => undefined));
      setAttempt((n) => n + 1);
    }
  };
  return (
    <section class="demo" aria-labelledby="demo-title">
      <h2 id="demo-title">This is a demonstration</h2>
      <p>
        The group, its people, places, machines and every figure of theirs are invented. Everyone knows these passwords, so write
        nothing of your own here. Look through the eyes of:
      </p>
      {failure ? <ErrorSummary title={failure.title} detail={failure.detail} entries={failure.entries} attempt={attempt} /> : null}
      <ul>
        {people.map((p) => (
          <li key={p.address}>
            <button type="button" class="second" onClick={() => void enter(p)}>
              {p.name}
            </button>
            <span class="quiet">{p.about}</span>
          </li>
        ))}
      </ul>
    </section>
  );
}

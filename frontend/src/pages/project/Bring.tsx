import { useState } from "preact/hooks";
import type { Schema } from "../../api/client";
import type { Trouble } from "../../api/problem";
import { Field } from "../../parts/Field/Field";
import type { Take } from "./Crew";
import { bring, others } from "./asks";

interface BringProps {
  project: number;
  /** Nobody is left on the crew: who is named is added, not asked. */
  deserted: boolean;
  take: Take;
  fail: (t: Trouble) => void;
}

/** Bring asks a member to join a crew, or adds one to a crew that has died out. */
export function Bring({ project, deserted, take, fail }: BringProps) {
  const [people, setPeople] = useState<Schema<"Person">[] | null>(null);
  const [chosen, setChosen] = useState("");
  const [fault, setFault] = useState("");
  const open = async () => {
    const a = await others(project);
    if (!a.ok) {
      fail(a.trouble);
      return;
    }
    setPeople(a.data.items);
    setChosen("");
  };
  const send = async (e: Event) => {
    e.preventDefault();
    if (chosen === "") {
      setFault("Choose a member.");
      return;
    }
    if (take(await bring(project, Number(chosen), deserted))) {
      setPeople(null);
    }
  };
  if (people === null) {
    return (
      <button type="button" class="second" onClick={() => void open()}>
        {deserted ? "Add a member to the crew" : "Ask a member to join"}
      </button>
    );
  }
  if (people.length === 0) {
    return <p>Every member is on the crew or asked already. A keeper can invite more people to the group.</p>;
  }
  return (
    <form class="bring" noValidate onSubmit={send} aria-label={deserted ? "Add to the crew" : "Ask to join the crew"}>
      <Field name="crew-member" label="Member" {...(fault ? { fault } : {})}>
        {(control) => (
          <select {...control} value={chosen} onChange={(e) => setChosen(e.currentTarget.value)}>
            <option value="">choose …</option>
            {people.map((p) => (
              <option key={p.id} value={String(p.id)}>
                {p.name}
              </option>
            ))}
          </select>
        )}
      </Field>
      <div class="row">
        <button type="submit">{deserted ? "Add to the crew" : "Ask"}</button>
        <button type="button" class="plain" onClick={() => setPeople(null)}>
          Not now
        </button>
      </div>
    </form>
  );
}

import { useState } from "preact/hooks";
import { api, ask, type Schema } from "../../api/client";
import type { Trouble } from "../../api/problem";
import { Field } from "../../parts/Field/Field";
import { TextField } from "../../parts/Field/TextField";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { day } from "../../words";
import { others } from "../project/asks";
import type { ChangeProps } from "./Page";

type Person = Schema<"Person">;

/** Builders are all who made or changed a part of the machine. Names are added and never taken off: who built it can't witness its test. */
export function Builders({ build, take, project }: ChangeProps & { project: Schema<"Project"> }) {
  const [people, setPeople] = useState<Person[] | null>(null);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const begin = async () => {
    const a = await others(project.id);
    setTrouble(a.ok ? null : a.trouble);
    if (a.ok) {
      const there = new Set(build.builders.map((b) => b.account));
      setPeople([...project.crew, ...a.data.items].filter((p) => !there.has(p.id)));
    }
  };
  return (
    <section aria-label="Builders">
      <h2>Builders</h2>
      <ul class="builders">
        {build.builders.map((b) => (
          <li key={b.account ?? b.name}>
            {b.name} {b.account === null ? <span class="quiet">without an account</span> : null}{" "}
            <span class="quiet small">
              added {b.added_by.id === b.account ? "" : `by ${b.added_by.name} `}on {day(b.added_at)}
            </span>
          </li>
        ))}
      </ul>
      <p class="quiet small">Who made or changed any part of it stands here for good: they may not witness its pressure test, sign as competent, or issue its certificate.</p>
      {trouble ? <TroubleNote trouble={trouble} again={() => void begin()} /> : null}
      {build.allowed_actions.includes("change_build") ? (
        people === null ? (
          <button type="button" class="second" onClick={() => void begin()}>
            Add a builder
          </button>
        ) : (
          <AddBuilder build={build} people={people} take={take} close={() => setPeople(null)} />
        )
      ) : null}
    </section>
  );
}

function AddBuilder({ build, people, take, close }: Pick<ChangeProps, "build" | "take"> & { people: Person[]; close: () => void }) {
  const [member, setMember] = useState("");
  const [name, setName] = useState("");
  const [fault, setFault] = useState("");
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const send = async (e: Event) => {
    e.preventDefault();
    if ((member === "") === (name.trim() === "")) {
      setFault(member === "" ? "Choose a member, or write a name." : "Either a member or a name: empty one of the two.");
      return;
    }
    setFault("");
    const body = member === "" ? { name: name.trim() } : { member: Number(member) };
    const a = await ask(api.POST("/api/v1/projects/{project}/builds/{build}/builders", { params: { path: { project: build.project, build: build.id } }, body }));
    setTrouble(a.ok ? null : a.trouble);
    if (take(a)) {
      close();
    }
  };
  return (
    <form class="stack" noValidate onSubmit={send} aria-label="Add a builder">
      {trouble ? <TroubleNote trouble={trouble} /> : null}
      <Field name="builder-member" label="A member" {...(fault ? { fault } : {})}>
        {(control) => (
          <select {...control} value={member} onChange={(e) => setMember(e.currentTarget.value)}>
            <option value="">choose …</option>
            {people.map((p) => (
              <option key={p.id} value={String(p.id)}>
                {p.name}
              </option>
            ))}
          </select>
        )}
      </Field>
      <TextField name="builder-name" label="Or the name of somebody without an account" text={name} onText={setName} />
      <div class="row">
        <button type="submit">Add to the builders</button>
        <button type="button" class="plain" onClick={close}>
          Not now
        </button>
      </div>
    </form>
  );
}

import { useState } from "preact/hooks";
import type { Schema } from "../../api/client";
import { Stamp } from "../../parts/Stamp/Stamp";
import { day, listed } from "../../words";
import type { Group } from "./Page";
import { PersonDialog } from "./PersonDialog";
import { sayRoles } from "./words";

export type Person = Schema<"GroupMember">;

interface PeopleProps {
  account: number;
  group: Group;
  etag: string;
  changed: () => void;
}

/** People lists everybody who is or was in the group; whoever may change an account opens it from here. */
export function People({ account, group, etag, changed }: PeopleProps) {
  const [open, setOpen] = useState<number | null>(null);
  const person = group.members.find((m) => m.id === open);
  const keepers = group.members.filter((m) => m.roles.includes("keeper") && m.closed_at === null).map((m) => m.name);
  return (
    <section aria-labelledby="people-title">
      <h2 id="people-title">People</h2>
      <p>
        {keepers.length === 1 ? "The keeper is" : "The keepers are"} {listed(keepers)}. Ask {keepers.length === 1 ? "there" : "one of them"} for an invitation, a role or
        help with a lost password.
      </p>
      <ul class="people">
        {group.members.map((m) => (
          <li key={m.id}>
            <span class="name">
              {m.name}
              {m.id === account ? <span class="quiet"> (you)</span> : null}
            </span>
            <span class="roles">
              {m.closed_at ? (
                <>
                  <Stamp word="account closed" /> <span class="quiet small">{day(m.closed_at)}</span>
                </>
              ) : (
                sayRoles(m.roles)
              )}
            </span>
            {m.allowed_actions.length > 0 ? (
              <button type="button" class="second" aria-haspopup="dialog" aria-label={`Change: ${m.name}`} onClick={() => setOpen(m.id)}>
                Change
              </button>
            ) : null}
          </li>
        ))}
      </ul>
      {person ? (
        <PersonDialog key={person.id} own={person.id === account} person={person} etag={etag} changed={changed} onClose={() => setOpen(null)} />
      ) : null}
    </section>
  );
}

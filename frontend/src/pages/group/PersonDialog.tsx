import { useState } from "preact/hooks";
import { api, ask, type Schema } from "../../api/client";
import type { Trouble } from "../../api/problem";
import { signOut } from "../../api/session";
import { Dialog } from "../../parts/Dialog/Dialog";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { when } from "../../words";
import { HandOver } from "./HandOver";
import type { Person } from "./People";
import { RoleBoxes, rolesOf } from "./RoleBoxes";
import { sayRoles } from "./words";

interface PersonDialogProps {
  /** The person is the one who looks. */
  own: boolean;
  person: Person;
  etag: string;
  changed: () => void;
  onClose: () => void;
}

/** PersonDialog is what may be done about one account: its roles, a lost password, closing it. */
export function PersonDialog({ own, person, etag, changed, onClose }: PersonDialogProps) {
  const may = (action: Person["allowed_actions"][number]) => person.allowed_actions.includes(action);
  return (
    <Dialog title={person.name} onClose={onClose} closeWord="Back to the group">
      {may("set_roles") ? <Roles own={own} person={person} etag={etag} changed={changed} onClose={onClose} /> : null}
      {may("give_reset_code") ? <LostPassword person={person} changed={changed} /> : null}
      {may("close_account") ? <Closing own={own} person={person} changed={changed} onClose={onClose} /> : null}
    </Dialog>
  );
}

function Roles({ own, person, etag, changed, onClose }: PersonDialogProps) {
  const [roles, setRoles] = useState(() => rolesOf(person.roles));
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const [busy, setBusy] = useState(false);
  const save = async (e: Event) => {
    e.preventDefault();
    if (busy) {
      return;
    }
    setBusy(true);
    const params = { path: { member: person.id }, header: { "If-Match": etag } };
    const a = await ask(api.PUT("/api/v1/members/{member}/roles", { params, body: roles }));
    setBusy(false);
    if (a.ok) {
      changed();
      onClose();
      return;
    }
    setTrouble(a.trouble);
    if (a.trouble.kind === "stale") {
      changed(); // so that the next try is made from what stands now
    }
  };
  return (
    <form class="stack part" noValidate onSubmit={save} aria-label={`Roles of ${person.name}`}>
      {trouble?.kind === "stale" ? (
        <p class="warn" role="alert">
          <b>Somebody else changed the group meanwhile.</b> {person.name} is now: {sayRoles(person.roles)}. Your ticks stand as you made
          them: look once more, then save again.
        </p>
      ) : trouble ? (
        <TroubleNote trouble={trouble} />
      ) : null}
      <RoleBoxes legend="Roles" roles={roles} onRoles={setRoles} name="person" {...(own ? { only: person.roles } : {})} />
      {own ? <p class="small quiet">You may lay a role of yours down. Another keeper has to give it back.</p> : null}
      <button type="submit" aria-disabled={busy}>
        Save the roles
      </button>
    </form>
  );
}

function LostPassword({ person, changed }: Pick<PersonDialogProps, "person" | "changed">) {
  const [code, setCode] = useState<Schema<"ResetCode"> | null>(null);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const give = async () => {
    const a = await ask(api.POST("/api/v1/members/{member}/reset-code", { params: { path: { member: person.id } } }));
    if (a.ok) {
      setCode(a.data);
      setTrouble(null);
      changed();
      return;
    }
    setTrouble(a.trouble);
  };
  return (
    <section class="stack part" aria-label="Lost password">
      <h3>Lost the password?</h3>
      <p>
        A code lets {person.name} set a new one, once, within 24 hours. Hand it over in person or by a way that only {person.name} reads.
        That you made it stands on record for all to see.
      </p>
      {trouble ? <TroubleNote trouble={trouble} /> : null}
      {code ? (
        <HandOver code={code.code} page="/reset" until={when(code.ends_at)} />
      ) : (
        <button type="button" class="second" onClick={() => void give()}>
          Make a code
        </button>
      )}
    </section>
  );
}

function Closing({ own, person, changed, onClose }: Omit<PersonDialogProps, "etag">) {
  const [sure, setSure] = useState(false);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const close = async () => {
    const a = await ask(api.POST("/api/v1/members/{member}/close", { params: { path: { member: person.id } } }));
    if (!a.ok) {
      setTrouble(a.trouble);
      return;
    }
    onClose();
    if (own) {
      void signOut().catch(() => undefined);
      return;
    }
    changed();
  };
  return (
    <section class="stack part" aria-label="Close the account">
      <h3>{own ? "Close your account" : "Close the account"}</h3>
      <p>
        {own ? "You" : person.name} can’t sign in any more, and it can’t be undone. The name stays under what was written and signed; address,
        password, roles and settings are erased.
      </p>
      {trouble ? <TroubleNote trouble={trouble} /> : null}
      {sure ? (
        <div class="row">
          <button type="button" onClick={() => void close()}>
            Close it for good
          </button>
          <button type="button" class="second" onClick={() => setSure(false)}>
            Keep it
          </button>
        </div>
      ) : (
        <button type="button" class="second" onClick={() => setSure(true)}>
          {own ? "Close my account …" : "Close the account …"}
        </button>
      )}
    </section>
  );
}

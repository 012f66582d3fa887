import { useState } from "preact/hooks";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import type { Trouble } from "../../api/problem";
import { useForm } from "../../forms/form";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { Waiting } from "../../parts/Trouble/Waiting";
import { when } from "../../words";
import { HandOver } from "./HandOver";
import { RoleBoxes, rolesOf } from "./RoleBoxes";
import { sayRoles } from "./words";

type Invitation = Schema<"Invitation">;

interface InvitationsProps {
  account: number;
  may: boolean;
  changes: number;
  changed: () => void;
}

/** Invitations are the codes that still let somebody in; who may invite does it here. */
export function Invitations({ account, may, changes, changed }: InvitationsProps) {
  const { loaded, again } = useLoad<Schema<"InvitationList">>(
    () => ask(api.GET("/api/v1/invitations", { params: { query: { limit: 100 } } })),
    [changes],
  );
  return (
    <section aria-labelledby="invitations-title">
      <h2 id="invitations-title">Invitations</h2>
      <p>One comes in by invitation only. Each is good once, for 7 days.</p>
      {loaded.state !== "here" ? (
        <Waiting loaded={loaded} again={again} />
      ) : loaded.data.items.length === 0 ? (
        <p class="quiet">None stands open.</p>
      ) : (
        <ul class="people">
          {loaded.data.items.map((i) => (
            <Open key={i.id} invitation={i} may={may} changed={changed} />
          ))}
        </ul>
      )}
      {may ? <InviteForm account={account} changed={changed} /> : null}
    </section>
  );
}

function Open({ invitation: i, may, changed }: { invitation: Invitation; may: boolean; changed: () => void }) {
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const withdraw = async () => {
    const a = await ask(api.DELETE("/api/v1/invitations/{invitation}", { params: { path: { invitation: i.id } } }));
    if (a.ok) {
      changed();
      return;
    }
    setTrouble(a.trouble);
  };
  const whom = i.name || "whoever has the code";
  return (
    <li>
      <span class="name">
        For {whom}, as {sayRoles(i.roles)}
      </span>
      <span class="roles small quiet">
        by {i.by.name}, until {when(i.ends_at)}
      </span>
      {may ? (
        <button type="button" class="second" aria-label={`Withdraw the invitation for ${whom}`} onClick={() => void withdraw()}>
          Withdraw
        </button>
      ) : null}
      {trouble ? <TroubleNote trouble={trouble} /> : null}
    </li>
  );
}

function InviteForm({ account, changed }: { account: number; changed: () => void }) {
  const [start] = useState({ name: "" });
  const [roles, setRoles] = useState(() => rolesOf([]));
  const [made, setMade] = useState<Schema<"NewInvitation"> | null>(null);
  const form = useForm({
    id: "invite",
    account,
    start,
    fieldOf: (pointer) => (pointer === "/name" ? "invite-name" : undefined),
    send: async ({ name }) => {
      const a = await ask(api.POST("/api/v1/invitations", { body: { name: name.trim(), roles } }));
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      setMade(a.data);
      setRoles(rolesOf([]));
      form.startOver();
      changed();
      return { done: true };
    },
  });
  return (
    <form class="stack invite" noValidate onSubmit={form.submit} aria-labelledby="invite-title">
      <h3 id="invite-title">Invite somebody</h3>
      <FormSummary form={form} />
      {made ? (
        <>
          <HandOver code={made.code} page="/join" until={when(made.ends_at)} />
          <p class="small quiet">
            This one is for {made.name || "whoever has it"}. Lost before it was handed over? Withdraw it above and make another.
          </p>
        </>
      ) : null}
      <TextField
        name="invite-name"
        label="Whom it is for"
        optional
        hint="So that the others know. The person chooses their own name when they join."
        text={form.texts.name}
        onText={(t) => form.set("name", t)}
        fault={form.failure?.entries.find((e) => e.field === "invite-name")?.message}
      />
      <RoleBoxes legend="To come in as member, and" name="invite" roles={roles} onRoles={setRoles} />
      <button type="submit" aria-disabled={form.busy}>
        Make an invitation
      </button>
    </form>
  );
}

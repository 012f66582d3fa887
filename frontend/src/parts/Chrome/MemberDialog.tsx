import { useState } from "preact/hooks";
import { Link } from "wouter-preact";
import { signOut, type Member } from "../../api/session";
import { draftForms, dropDraft } from "../../forms/drafts";
import { useGround, type Ground } from "../../ground";
import { Dialog } from "../Dialog/Dialog";

const grounds: { value: Ground; name: string }[] = [
  { value: "system", name: "as this device has it" },
  { value: "paper", name: "drawing paper" },
  { value: "blueprint", name: "blueprint" },
];

/** MemberDialog is who is signed in, how the pages look here, and the way out. */
export function MemberDialog({ member, onClose }: { member: Member; onClose: () => void }) {
  const [ground, setGround] = useGround();
  const [drafts] = useState(() => draftForms(member.id));
  const leave = (keep: boolean) => {
    if (!keep) {
      drafts.forEach((form) => dropDraft(member.id, form));
    }
    onClose();
    void signOut().catch(() => undefined);
  };
  return (
    <Dialog title={member.name} onClose={onClose}>
      <p class="quiet">
        {member.address}
        <br />
        {member.roles.join(", ")}
      </p>
      <Link href="/you" class="do second" onClick={onClose}>
        Your account: units, name, password, devices
      </Link>
      <fieldset class="grounds">
        <legend>Draw on</legend>
        {grounds.map((g) => (
          <label key={g.value}>
            <input type="radio" name="ground" value={g.value} checked={ground === g.value} onChange={() => setGround(g.value)} />
            {g.name}
          </label>
        ))}
      </fieldset>
      {drafts.length > 0 ? (
        <p>
          {drafts.length === 1 ? "One form holds" : `${drafts.length} forms hold`} text of yours that is not sent yet. It is in this
          browser only. Remove it if others use this device.
        </p>
      ) : null}
      <div class="row">
        <button type="button" onClick={() => leave(true)}>
          {drafts.length > 0 ? "Sign out, keep it here" : "Sign out"}
        </button>
        {drafts.length > 0 ? (
          <button type="button" class="second" onClick={() => leave(false)}>
            Sign out and remove it
          </button>
        ) : null}
      </div>
    </Dialog>
  );
}

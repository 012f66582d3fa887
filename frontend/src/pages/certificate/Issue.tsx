import { useState } from "preact/hooks";
import { api, ask, type Schema } from "../../api/client";
import type { Member } from "../../api/session";
import { Field } from "../../parts/Field/Field";
import { TextField } from "../../parts/Field/TextField";
import { Sign } from "../../parts/Sign/Sign";
import { day } from "../../words";
import type { OfBuild } from "../test/fetch";

type Certificates = Schema<"Certificates">;

interface IssueProps {
  at: OfBuild;
  member: Member;
  test: number;
  /** The latest last day that it can have. */
  latest: string;
  issued: (c: Certificates) => void;
}

/** Issue issues a certificate on a passed test: until when, and the signature of a steward. */
export function Issue({ at, member, test, latest, issued }: IssueProps) {
  const [until, setUntil] = useState(latest);
  return (
    <div class="stack">
      <Field name="expires-on" label="Last day" hint={`At the latest ${day(`${latest}T12:00:00Z`)}. It counts until the end of that day.`}>
        {(control) => <input {...control} type="date" class="day" max={latest} value={until} onInput={(e) => setUntil(e.currentTarget.value)} />}
      </Field>
      <Sign
        name="issue"
        says="You sign, as steward, that this machine passed its test as it stands, and you have read the sheet."
        me={member}
        passwordOnly
        word="Issue the certificate"
        fieldOf={(pointer) => (pointer === "/expires_on" ? "expires-on" : undefined)}
        sign={async (_, { password }) => {
          const body = { test, password, ...(until === "" ? {} : { expires_on: until }) };
          const a = await ask(api.POST("/api/v1/projects/{project}/builds/{build}/certificate", { params: { path: at }, body }));
          if (a.ok) {
            issued(a.data);
          }
          return a;
        }}
      />
    </div>
  );
}

/** Revoke ends a certificate for good. */
export function Revoke({ at, member, revoked }: { at: OfBuild; member: Member; revoked: (c: Certificates) => void }) {
  const [open, setOpen] = useState(false);
  const [kind, setKind] = useState<"revoked" | "part_recalled">("revoked");
  const [reason, setReason] = useState("");
  if (!open) {
    return (
      <p class="off-paper">
        <button type="button" class="second" onClick={() => setOpen(true)}>
          Revoke this certificate
        </button>
      </p>
    );
  }
  return (
    <section class="off-paper warn" aria-labelledby="revoke-title">
      <h2 id="revoke-title">Revoke this certificate</h2>
      <p>It ends at once and can’t be taken back. The machine must not be under pressure then; a new test sheet gives a new certificate.</p>
      <div class="stack">
        <fieldset>
          <legend>What happened</legend>
          {(["revoked", "part_recalled"] as const).map((k) => (
            <label class="revoke-kind" key={k}>
              <input type="radio" name="revoke-kind" checked={kind === k} onChange={() => setKind(k)} />
              {k === "revoked" ? "Something is not as it must be" : "The maker took a part back"}
            </label>
          ))}
        </fieldset>
        <TextField name="revoke-reason" label="Why" long hint="It stays on the record for all to read." text={reason} onText={setReason} />
        <Sign
          name="revoke"
          says="You sign, as steward, that this certificate ends now."
          me={member}
          passwordOnly
          word="Revoke it for good"
          fieldOf={(pointer) => (pointer === "/reason" ? "revoke-reason" : undefined)}
          sign={async (_, { password }) => {
            const a = await ask(api.POST("/api/v1/projects/{project}/builds/{build}/certificate/revoke", { params: { path: at }, body: { kind, reason: reason.trim(), password } }));
            if (a.ok) {
              revoked(a.data);
            }
            return a;
          }}
        />
        <button type="button" class="plain" onClick={() => setOpen(false)}>
          Leave it as it is
        </button>
      </div>
    </section>
  );
}

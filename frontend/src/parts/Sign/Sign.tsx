import { useState } from "preact/hooks";
import type { Answer } from "../../api/client";
import { useForm, type Outcome } from "../../forms/form";
import { Field } from "../Field/Field";
import { FormSummary } from "../Field/FormSummary";
import { TextField } from "../Field/TextField";
import "./sign.css";

/** Whoever may sign: the member of this device, or somebody who stands beside it. */
export interface Signer {
  id: number;
  name: string;
}

/** What proves a signature: one of both is empty. */
export interface Proof {
  code: string;
  password: string;
}

export interface SignProps {
  /** Names the form on the page; its fields get ids from it. */
  name: string;
  /** What is signed, and as what, in one sentence. */
  says: string;
  me: Signer;
  /** Who else may sign this here and now. */
  others?: Signer[];
  /** Outcomes, certificates and settings take the password. */
  passwordOnly?: boolean;
  /** The word on the button. */
  word: string;
  sign: (signer: Signer, proof: Proof) => Promise<Answer<unknown>>;
  /** Called when it is signed. */
  signed?: () => void;
}

/** Sign takes one signature: who, and the signing code or the password. Nothing of it is kept. */
export function Sign({ name, says, me, others = [], passwordOnly = false, word, sign, signed }: SignProps) {
  const field = `${name}-secret`;
  const [start] = useState({ [field]: "" });
  const [signer, setSigner] = useState(me);
  const [withPassword, setWithPassword] = useState(passwordOnly);
  const form = useForm<string>({
    id: name,
    account: null,
    start,
    fieldOf: (pointer) => (/\/(code|password)$/.test(pointer) ? field : undefined),
    send: async (texts): Promise<Outcome> => {
      const secret = texts[field] ?? "";
      if (secret === "") {
        return { faults: [{ field, message: withPassword ? `Type the password of ${signer.name}.` : `Type the signing code of ${signer.name}.` }] };
      }
      const a = await sign(signer, withPassword ? { code: "", password: secret } : { code: secret, password: "" });
      form.set(field, "");
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      signed?.();
      return { done: true };
    },
  });
  const turn = () => {
    form.set(field, "");
    setWithPassword(!withPassword);
  };
  const people = [me, ...others.filter((o) => o.id !== me.id)];
  return (
    <form class="sign stack" noValidate onSubmit={form.submit} aria-label={says}>
      <p class="sign-says">{says}</p>
      <FormSummary form={form} />
      {people.length > 1 ? (
        <Field name={`${name}-signer`} label="Who signs">
          {(control) => (
            <select {...control} value={String(signer.id)} onChange={(e) => setSigner(people.find((p) => String(p.id) === e.currentTarget.value) ?? me)}>
              {people.map((p) => (
                <option key={p.id} value={p.id}>
                  {p.id === me.id ? `${p.name}, me` : `${p.name}, beside me`}
                </option>
              ))}
            </select>
          )}
        </Field>
      ) : null}
      <TextField
        name={field}
        label={`${withPassword ? "Password" : "Signing code"} of ${signer.name}`}
        type="password"
        digits={!withPassword}
        autocomplete={signer.id === me.id && withPassword ? "current-password" : "off"}
        text={form.texts[field] ?? ""}
        onText={(t) => form.set(field, t)}
        fault={form.fault(field)}
      />
      <div class="row">
        <button type="submit" aria-disabled={form.busy}>
          {word}
        </button>
        {passwordOnly ? null : (
          <button type="button" class="plain" onClick={turn}>
            {withPassword ? "With the signing code" : "With the password instead"}
          </button>
        )}
      </div>
    </form>
  );
}

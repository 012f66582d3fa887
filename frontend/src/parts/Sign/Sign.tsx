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
  /** False: no signing code is set, so the password is asked for. */
  has_code?: boolean;
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
  /** Whoever holds the device may not sign this: somebody beside them does. */
  notMe?: boolean;
  /** Outcomes, certificates and settings take the password. */
  passwordOnly?: boolean;
  /** The word on the button. */
  word: string;
  sign: (signer: Signer, proof: Proof) => Promise<Answer<unknown>>;
  /** The control on the page that a pointer of the answer belongs to, other than the code. */
  fieldOf?: (pointer: string) => string | undefined;
  /** Called when it is signed. */
  signed?: () => void;
}

/** Sign takes one signature: who, and the signing code or the password. Nothing of it is kept. */
export function Sign({ name, says, me, others = [], notMe = false, passwordOnly = false, word, sign, fieldOf, signed }: SignProps) {
  const field = `${name}-secret`;
  const [start] = useState({ [field]: "" });
  const people = [...(notMe ? [] : [me]), ...others.filter((o) => o.id !== me.id)];
  const [chosen, setChosen] = useState<number | null>(null);
  const signer = people.find((p) => p.id === chosen) ?? people[0] ?? me;
  const [wantsPassword, setWantsPassword] = useState(passwordOnly);
  const withPassword = wantsPassword || signer.has_code === false;
  const form = useForm<string>({
    id: name,
    account: null,
    start,
    fieldOf: (pointer) => (/\/(code|password)$/.test(pointer) ? field : fieldOf?.(pointer)),
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
    setWantsPassword(!withPassword);
  };
  const choose = (id: number) => {
    form.set(field, "");
    setChosen(id);
  };
  return (
    <form class="sign stack" noValidate onSubmit={form.submit} aria-label={says}>
      <p class="sign-says">{says}</p>
      <FormSummary form={form} />
      {people.length > 1 || notMe ? <Who name={name} me={me} people={people} signer={signer} choose={choose} /> : null}
      {signer.has_code === false && !passwordOnly ? <p class="small">{signer.name} has set no signing code, so the password is asked for. A code is set on the page about oneself.</p> : null}
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
        {passwordOnly || signer.has_code === false ? null : (
          <button type="button" class="plain" onClick={turn}>
            {withPassword ? "With the signing code" : "With the password instead"}
          </button>
        )}
      </div>
    </form>
  );
}

/** So many people have a button each: one touch instead of two. */
const buttons_most = 4;

interface WhoProps {
  name: string;
  me: Signer;
  people: Signer[];
  signer: Signer;
  choose: (id: number) => void;
}

/** Who chooses whoever signs: me, or somebody who stands beside this device. */
function Who({ name, me, people, signer, choose }: WhoProps) {
  const says = (p: Signer) => (p.id === me.id ? `${p.name}, me` : `${p.name}, beside me`);
  if (people.length <= buttons_most) {
    return (
      <fieldset class="sign-who">
        <legend>Who signs</legend>
        {people.map((p) => (
          <label key={p.id}>
            <input type="radio" name={`${name}-signer`} checked={p.id === signer.id} onChange={() => choose(p.id)} />
            {says(p)}
          </label>
        ))}
      </fieldset>
    );
  }
  return (
    <Field name={`${name}-signer`} label="Who signs">
      {(control) => (
        <select {...control} value={String(signer.id)} onChange={(e) => choose(Number(e.currentTarget.value))}>
          {people.map((p) => (
            <option key={p.id} value={p.id}>
              {says(p)}
            </option>
          ))}
        </select>
      )}
    </Field>
  );
}

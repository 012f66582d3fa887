import { useState } from "preact/hooks";
import type { Answer, Schema } from "../../api/client";
import type { Member } from "../../api/session";
import { TextField } from "../../parts/Field/TextField";
import { Sign } from "../../parts/Sign/Sign";

interface SignReasonProps<T> {
  name: string;
  member: Member;
  /** What the reason is to say. */
  about: string;
  says: string;
  word: string;
  sign: (body: Schema<"SignReason">) => Promise<Answer<T>>;
  signed: (data: T) => void;
}

/** SignReason takes a reason, and under it the signature with the password. */
export function SignReason<T>({ name, member, about, says, word, sign, signed }: SignReasonProps<T>) {
  const [reason, setReason] = useState("");
  return (
    <div class="stack">
      <TextField name={`${name}-reason`} label={about} long text={reason} onText={setReason} />
      <Sign
        name={name}
        says={says}
        me={member}
        passwordOnly
        word={word}
        sign={async (_, { password }) => {
          const a = await sign({ reason: reason.trim(), password });
          if (a.ok) {
            signed(a.data);
          }
          return a;
        }}
      />
    </div>
  );
}

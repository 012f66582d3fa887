import { useState } from "preact/hooks";
import type { Answer } from "../../api/client";
import type { Member } from "../../api/session";
import { Sign, type Proof } from "../../parts/Sign/Sign";
import type { Test, TestItem, TestRole } from "./fetch";
import { roleMeans } from "./words";

type MaySign = TestItem["may_sign"][number];

/** What a signature goes out with. */
export type Signing = { member: number; role: TestRole } & Partial<Proof>;

interface SignAsProps {
  test: Test;
  item: TestItem;
  member: Member;
  word: string;
  sign: (signing: Signing) => Promise<Answer<unknown>>;
  fieldOf?: (pointer: string) => string | undefined;
  /** Tells two signatures of one item on one page apart. */
  of?: string;
}

/** SignAs takes the signature of an item: of me, or of somebody beside me, in the role that is lacking. */
export function SignAs({ test, item, member, word, sign, fieldOf, of = "" }: SignAsProps) {
  const roles = item.lacks.filter((role) => item.may_sign.some((m) => m.roles.includes(role)));
  const mine = roles.find((role) => item.may_sign.some((m) => m.id === member.id && m.roles.includes(role)));
  const [chosen, setChosen] = useState<TestRole | null>(null);
  const role = chosen !== null && roles.includes(chosen) ? chosen : (mine ?? roles[0]);
  if (role === undefined) {
    return <p class="warn">{item.lacking || "Nobody can sign this now."}</p>;
  }
  const people = signersOf(item, role, test);
  const me = people.find((p) => p.id === member.id);
  return (
    <div class="sign-as">
      {roles.length > 1 ? (
        <fieldset class="roles">
          <legend>Signed as</legend>
          {roles.map((r) => (
            <label class="tick" key={r}>
              <input type="radio" name={`${item.id}${of}-role`} checked={r === role} onChange={() => setChosen(r)} />
              <span>
                {r}: {roleMeans[r]}
              </span>
            </label>
          ))}
        </fieldset>
      ) : null}
      {item.uses_up
        .filter((u) => u.role === role)
        .map((u) => (
          <p class="warn" key={u.who}>
            {u.text}
          </p>
        ))}
      <Sign
        key={role}
        name={`${item.id}${of}-sign`}
        says={`${item.id} ${item.title}, as ${role}`}
        me={me ?? member}
        others={people}
        notMe={me === undefined}
        word={word}
        sign={(signer, { code, password }) => sign({ member: signer.id, role, ...(password === "" ? { code } : { password }) })}
        {...(fieldOf ? { fieldOf } : {})}
      />
      {item.lacking ? <p class="small">{item.lacking}</p> : null}
    </div>
  );
}

/** signersOf lists who may sign in a role, those first who signed on this sheet before: they are here. Then those with a code. */
function signersOf(item: TestItem, role: TestRole, test: Test): MaySign[] {
  const here = new Set(test.items.flatMap((i) => i.signed.map((s) => s.who.id)));
  return item.may_sign.filter((m) => m.roles.includes(role)).sort((a, b) => Number(here.has(b.id)) - Number(here.has(a.id)) || Number(b.has_code) - Number(a.has_code));
}

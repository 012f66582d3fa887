import type { Answer, Schema } from "../../api/client";
import { useSession } from "../../api/session";
import { listed, when } from "../../words";
import { Sign } from "../Sign/Sign";
import { Stamp } from "../Stamp/Stamp";

type State = Schema<"SafetyProposal">["state"];
type Signature = Schema<"Approval">;

const words: Record<State, string> = { waiting: "waits for signatures", in_force: "in force", past: "was in force", overtaken: "overtaken" };

/** ApprovalStamp is what became of a proposed change of the rules. */
export function ApprovalStamp({ state }: { state: State }) {
  return <Stamp word={words[state]} />;
}

interface Props {
  /** Names the form on the page. */
  name: string;
  /** What is signed, at the end of a sentence: "these safety settings". */
  what: string;
  signatures: Signature[];
  state: State;
  lacks: string;
  may: boolean;
  sign: (password: string) => Promise<Answer<unknown>>;
  signed: () => void;
}

/** Approval is who has signed a change of the rules and who is still wanted, with the way to sign it. */
export function Approval({ name, what, signatures, state, lacks, may, sign, signed }: Props) {
  const session = useSession();
  const missing = (["steward", "second"] as const).filter((role) => !signatures.some((s) => s.role === role));
  return (
    <div class="stack">
      {signatures.length > 0 ? (
        <p>
          Signed by{" "}
          {listed(signatures.map((s) => `${s.by.name} as ${role(s.role)}, ${when(s.at)}`))}.
        </p>
      ) : null}
      {state === "waiting" ? <p>Still wanted: the signature of {listed(missing.map((m) => (m === "steward" ? "a steward" : "a second member")))}.</p> : null}
      {state === "overtaken" ? <p class="quiet">Something else took effect first. To have this all the same, propose it again.</p> : null}
      {lacks ? <p class="warn">{lacks}</p> : null}
      {may && "member" in session ? (
        <Sign
          name={name}
          says={`You sign ${what}, with your password. It stays on the record.`}
          me={session.member}
          passwordOnly
          word="Sign"
          sign={(_, proof) => sign(proof.password)}
          signed={signed}
        />
      ) : null}
    </div>
  );
}

const role = (r: Signature["role"]) => (r === "steward" ? "steward" : "second member");

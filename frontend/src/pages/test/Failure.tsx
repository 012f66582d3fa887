import { useState } from "preact/hooks";
import { Link } from "wouter-preact";
import { api, ask } from "../../api/client";
import type { Member } from "../../api/session";
import { TextField } from "../../parts/Field/TextField";
import { Sign } from "../../parts/Sign/Sign";
import { listed, when } from "../../words";
import { testsPath, type Test, type TestAddress } from "./fetch";
import { choiceWords } from "./words";

interface FailureProps {
  at: TestAddress;
  test: Test;
  member: Member;
  take: (t: Test) => void;
}

/** Failure is what a failed test leaves: the steps that release the pressure, the record, and the nonconformance until it is closed. */
export function Failure({ at, test, member, take }: FailureProps) {
  const n = test.nonconformance;
  if (n === null) {
    return null;
  }
  const left = test.items.filter((i) => ["open", "signing", "waiting"].includes(i.state)).map((i) => i.id);
  return (
    <section class="failure" aria-label="What failed">
      <h2>What failed</h2>
      <p>
        <b>{n.text}</b>
      </p>
      <p class="small">
        Nonconformance, opened {when(n.opened_at)} by {n.opened_by.name}.
      </p>
      {left.length > 0 ? <p>Left to do here: {listed(left)}. Let the pressure go first; nobody goes near before the gauge shows zero and a high vent is open.</p> : null}
      {n.closed ? (
        <p>
          Closed {when(n.closed.closed_at)} by {n.closed.closed_by.name}, {choiceWords(n.closed.disposition)}: “{n.closed.text}” <Link href={testsPath(at)}>Begin a new test sheet</Link> when the machine is ready.
        </p>
      ) : test.allowed_actions.includes("close_nonconformance") ? (
        <CloseIt at={at} member={member} take={take} />
      ) : (
        <p>
          {test.written_up
            ? "It stands open until a steward who did not build the machine says what became of it, with the password."
            : "Once it is written up and signed (C04), a steward who did not build the machine closes it. Until then no certificate of this machine holds."}
        </p>
      )}
    </section>
  );
}

function CloseIt({ at, member, take }: Omit<FailureProps, "test">) {
  const [text, setText] = useState("");
  return (
    <div class="stack">
      <TextField name="close-text" label="What was done" long hint="What was cut out, replaced or scrapped, and how you know. It can’t be changed afterwards." text={text} onText={setText} />
      <Sign
        name="close"
        says="You sign, as steward, that what failed is dealt with."
        me={member}
        passwordOnly
        word="Close it"
        fieldOf={(pointer) => (pointer === "/text" ? "close-text" : undefined)}
        sign={async (_, { password }) => {
          const a = await ask(api.POST("/api/v1/projects/{project}/builds/{build}/tests/{test}/close", { params: { path: at }, body: { text: text.trim(), password } }));
          if (a.ok) {
            take(a.data);
          }
          return a;
        }}
      />
    </div>
  );
}

import { useEffect, useState } from "preact/hooks";
import { Link } from "wouter-preact";
import { useLoad } from "../../api/load";
import { useSession, type Member } from "../../api/session";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Stamp } from "../../parts/Stamp/Stamp";
import { TitleBlock } from "../../parts/TitleBlock/TitleBlock";
import { Waiting } from "../../parts/Trouble/Waiting";
import { listed, when } from "../../words";
import { fetchBuild } from "../build/fetch";
import { tagName } from "../build/states";
import { Failure } from "./Failure";
import { certificatePath, testsPath, trailOf, type Test, type TestAddress, type TestItem } from "./fetch";
import { useTest, type Followed } from "./follow";
import { Item } from "./Item";
import { PaperSheet } from "./PaperSheet";
import { Strip } from "./Strip";
import { stagesOf, stageWords, stateOf } from "./words";
import "./page.css";

/** TestPage is a test sheet while people work through it, each on their own device. */
export default function TestPage(at: TestAddress) {
  const followed = useTest(at);
  const { test } = followed;
  const session = useSession();
  const member = "member" in session ? session.member : null;
  const { loaded } = useLoad(() => fetchBuild(at), [at.project, at.build]);
  const machine = loaded.state === "here" ? `${tagName(loaded.data.tag)}, ${loaded.data.title}` : "Machine";
  const trail = [...trailOf(at, machine), { href: testsPath(at), name: "Pressure tests" }];
  return (
    <PageFrame title={`Test sheet ${at.test}`} trail={trail} key={test ? "here" : "waiting"} {...(test ? { aside: <Stamp word={stateOf(test)} danger={test.ended === "failed"} /> } : {})}>
      {test && member ? (
        <Sheet at={at} test={test} member={member} followed={followed} machine={machine} />
      ) : (
        <Waiting loaded={followed.trouble ? { state: "failed", trouble: followed.trouble } : { state: "loading" }} again={followed.again} />
      )}
    </PageFrame>
  );
}

const doable = (i: TestItem) => i.state === "open" || i.state === "signing";

function Sheet({ at, test, member, followed, machine }: { at: TestAddress; test: Test; member: Member; followed: Followed; machine: string }) {
  const first = test.items.find(doable);
  const [open, setOpen] = useState<string | null>(first?.id ?? null);
  const current = test.items.find((i) => i.id === open);
  const next = test.items.find((i) => doable(i) && i.id !== open) ?? null;
  const show = (id: string | null) => {
    setOpen(id);
    if (id !== null) {
      requestAnimationFrame(() => document.getElementById(`item-${id}`)?.scrollIntoView({ block: "start" }));
    }
  };
  const take = (t: Test) => {
    followed.take(t);
    const mine = t.items.find((i) => i.id === open);
    const following = t.items.find(doable);
    if (mine && !doable(mine) && following) {
      show(following.id); // one's own signature was the last that it lacked
    }
  };
  const live = useSpoken(test);
  return (
    <>
      {test.ended === "passed" ? null : <Strip test={test} stage={(current ?? first ?? test.items[0])?.stage ?? ""} cutSince={followed.cutSince} />}
      <div class="test-sheet off-paper">
        <p>
          {test.title}, {test.short ? "the short list for a plain machine" : "in full"}, begun {when(test.started_at)} by {test.started_by.name} for version {test.build_version} of the machine, revision {test.letter}.
          {test.competent ? " A third person signs too, as competent." : ""}
        </p>
        <p class="warn">
          <b>Stored energy.</b> Nobody is inside the distance while the pressure rises. A passed test is no permit: local law, makers’ instructions and licensed practice come first where they are stricter.
        </p>
        {test.over ? <p class="warn">{test.over}</p> : null}
        {test.ended === "passed" ? <Passed at={at} test={test} /> : null}
        <Failure at={at} test={test} member={member} take={followed.take} />
        <p class="unseen" role="status">
          {live}
        </p>
        {stagesOf(test).map(({ stage, items }) => (
          <section key={stage} aria-labelledby={`stage-${stage}`}>
            <h2 id={`stage-${stage}`} class="stage">
              {stageWords[stage] ?? stage}
            </h2>
            {items.map((i) => (
              <Item key={i.id} at={at} test={test} item={i} member={member} connected={followed.cutSince === null} take={take} open={i.id === open} onOpen={show} next={next} />
            ))}
          </section>
        ))}
        <PrintWay />
      </div>
      <PaperSheet test={test} />
      <div class="closing">
        <TitleBlock
          boxes={[
            { name: "test sheet", value: String(test.number) },
            { name: "machine", value: `${machine}: version ${test.build_version}, revision ${test.letter}`, wide: true },
            { name: "built by", value: listed(test.builders.map((b) => b.name)), wide: true },
            { name: "procedure", value: `version ${test.template_version}${test.short ? ", short" : ""}`, wide: true },
            { name: "pressure hash", value: test.pressure_hash.slice(0, 8) },
            { name: "state", value: <Stamp word={stateOf(test)} danger={test.ended === "failed"} /> },
          ]}
        />
      </div>
    </>
  );
}

function Passed({ at, test }: { at: TestAddress; test: Test }) {
  return (
    <div class="note-box">
      <p>
        <b>Passed.</b> Everything that is asked is recorded and signed.{" "}
        {test.certified
          ? "A certificate was issued on it."
          : "The machine still has no certificate of this test: a steward issues it who neither built the machine nor signed here as second."}
      </p>
      <Link class="do" href={certificatePath(at)}>
        {test.allowed_actions.includes("issue_certificate") ? "Issue the certificate" : "The certificate"}
      </Link>
    </div>
  );
}

function PrintWay() {
  return (
    <div class="row off-paper">
      <button type="button" class="second" onClick={() => print()}>
        Print the sheet for paper
      </button>
      <p class="small quiet">For where there is no signal: sign the print by hand, and enter it here within 24 hours.</p>
    </div>
  );
}

/** useSpoken says what others signed, for those who don't look at the screen. */
function useSpoken(test: Test): string {
  const all = test.items.flatMap((i) => i.signed.map((s) => ({ item: i.id, title: i.title, ...s })));
  const [known, setKnown] = useState(all.length);
  const [text, setText] = useState("");
  useEffect(() => {
    const newest = all.sort((a, b) => a.at.localeCompare(b.at)).at(-1);
    if (all.length > known && newest) {
      setText(`${newest.who.name} signed ${newest.item} ${newest.title}, as ${newest.role}.`);
    }
    setKnown(all.length);
  }, [all.length]);
  return text;
}

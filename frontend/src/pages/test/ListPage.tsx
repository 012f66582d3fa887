import { useState } from "preact/hooks";
import { Link, useLocation } from "wouter-preact";
import { api, ask, newKey, type Answer, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import type { Trouble } from "../../api/problem";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Stamp } from "../../parts/Stamp/Stamp";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { Waiting } from "../../parts/Trouble/Waiting";
import { listed, when } from "../../words";
import { buildPath, fetchBuild } from "../build/fetch";
import { tagName } from "../build/states";
import { certificatePath, fetchTests, testPath, trailOf, type OfBuild } from "./fetch";
import { stateOf, writeIn } from "./words";
import "./page.css";

type List = Schema<"TestList">;
type Build = Schema<"Build">;

interface Both {
  build: Build;
  tests: List;
}

async function fetchBoth(at: OfBuild): Promise<Answer<Both>> {
  const [build, tests] = await Promise.all([fetchBuild(at), fetchTests(at)]);
  return !build.ok ? build : tests.ok ? { ...tests, data: { build: build.data, tests: tests.data } } : tests;
}

/** TestsPage lists the test sheets of a machine, and says before one begins what it takes. */
export default function TestsPage(at: OfBuild) {
  const { loaded, again } = useLoad<Both>(() => fetchBoth(at), [at.project, at.build]);
  const here = loaded.state === "here" ? loaded.data : null;
  return (
    <PageFrame title="Pressure tests" trail={trailOf(at, here ? `${tagName(here.build.tag)}, ${here.build.title}` : undefined)} key={here ? "here" : "waiting"}>
      {here ? <Tests at={at} {...here} /> : <Waiting loaded={loaded} again={again} />}
    </PageFrame>
  );
}

function Tests({ at, build, tests }: Both & { at: OfBuild }) {
  const [more, setMore] = useState<List[]>([]);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const items = [...tests.items, ...more.flatMap((m) => m.items)];
  const next = (more.at(-1) ?? tests).next;
  const fetchMore = async (before: number) => {
    const a = await fetchTests(at, before);
    setTrouble(a.ok ? null : a.trouble);
    if (a.ok) {
      setMore([...more, a.data]);
    }
  };
  const running = items.find((t) => t.ended === null && t.over === "");
  return (
    <>
      {running ? (
        <p>
          <Link class="do" href={testPath({ ...at, test: running.number })}>
            Go on with test sheet {running.number}
          </Link>
        </p>
      ) : (
        <Begin at={at} build={build} tests={tests} />
      )}
      <section aria-labelledby="sheets-title">
        <h2 id="sheets-title">Test sheets</h2>
        {items.length === 0 ? <p>None yet.</p> : null}
        <ul class="designs">
          {items.map((t) => (
            <li key={t.number}>
              <Link class="open" href={testPath({ ...at, test: t.number })}>
                <b>Test sheet {t.number}</b> <Stamp word={stateOf(t)} danger={t.ended === "failed"} />
              </Link>
              <p>
                Begun {when(t.started_at)} by {t.started_by.name}, for version {t.build_version} of the machine, revision {t.letter}.
                {t.certified ? " A certificate was issued on it." : ""}
                {t.nonconformance ? (t.nonconformance.closed ? " What failed is closed." : " What failed stands open.") : ""}
              </p>
            </li>
          ))}
        </ul>
        {next === null ? null : (
          <button type="button" class="second" onClick={() => void fetchMore(next)}>
            Older ones
          </button>
        )}
        {trouble ? <TroubleNote trouble={trouble} /> : null}
      </section>
      <p class="row">
        <Link href={certificatePath(at)}>The certificate of this machine</Link> <Link href={buildPath(at)}>The machine</Link>
      </p>
    </>
  );
}

/** Begin says what a test takes and what is lacking, and begins it. */
function Begin({ at, build, tests }: Both & { at: OfBuild }) {
  const [, go] = useLocation();
  const [key] = useState(newKey);
  const [busy, setBusy] = useState(false);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const may = tests.allowed_actions.includes("start_test");
  const begin = async () => {
    if (busy) {
      return;
    }
    setBusy(true);
    const a = await ask(api.POST("/api/v1/projects/{project}/builds/{build}/tests", { params: { path: at }, body: { client_key: key } }));
    setBusy(false);
    if (a.ok) {
      go(testPath({ ...at, test: a.data.number }));
    } else {
      setTrouble(a.trouble);
    }
  };
  return (
    <section aria-labelledby="begin-title" class="begin">
      <h2 id="begin-title">Before a test begins</h2>
      <Takes build={build} />
      {tests.lacks.length > 0 ? (
        <div class="warn">
          <p>
            <b>Not yet.</b> This must be settled first:
          </p>
          <ul>
            {tests.lacks.map((l) => (
              <li key={`${l.item} ${l.name}`}>
                {l.text} {l.item ? <span class="quiet">({l.item} needs it)</span> : null}
              </li>
            ))}
          </ul>
        </div>
      ) : tests.refused ? (
        <p class="warn">
          <b>Not yet.</b> {tests.refused}
        </p>
      ) : null}
      {trouble ? <TroubleNote trouble={trouble} /> : null}
      {tests.refused === "" && may ? (
        <button type="button" aria-disabled={busy} onClick={() => void begin()}>
          Begin a test sheet
        </button>
      ) : null}
      {may ? null : <p>The crew begins a test, or whoever built the machine: {listed(build.builders.map((b) => b.name))}.</p>}
    </section>
  );
}

const settle_minutes = 30; // safety.md 6.3: water settles before the hold counts

function Takes({ build }: { build: Build }) {
  const report = build.now.report.build;
  const plain = report?.class === "plain";
  const hold = report?.limits?.hold_plastic_minutes ?? 60;
  const away = Math.max(0, ...(report?.parts ?? []).map((p) => p.distance?.m ?? 0));
  return (
    <>
      <ul class="takes">
        <li>
          <b>People.</b> One who built it ({listed(build.builders.filter((b) => b.account !== null).map((b) => b.name))}) and one member who did not
          {plain ? "" : ", and where gas in plastic is allowed with conditions a steward who did not build it as third"}. Afterwards a steward who neither built it nor signed as second issues the certificate.
        </li>
        <li>
          <b>Hours.</b> Cemented joints have cured, a day at least. Then half a day: {settle_minutes} minutes until the water has settled, up to {hold} minutes of holding, and the way there and back. {plain ? "A plain machine has the short list, 20 signatures at most." : "This machine has the full list."}
        </li>
        <li>
          <b>Gauge.</b> A pressure gauge of the register whose calibration counts; below half a bar an open water manometer serves as well.
        </li>
        <li>
          <b>Room.</b> {away > 0 ? `${writeIn(away, "m")} all round, above and below, that can be kept free of people.` : "The sheet says how far people keep away, all round, above and below."}
        </li>
        <li>
          <b>Connection.</b> Signing needs one, each person with their own signing code. What is typed and the pictures wait in the phone until there is one. Without any signal the printed sheet is signed by hand and entered within 24 hours.
        </li>
      </ul>
      <p class="warn">
        <b>Gas in plastic, stored energy.</b> The test is done with water. Air stored under pressure throws pieces when a pipe or joint lets go. The notebook is no inspection body: licensed practice and local codes come first.
      </p>
    </>
  );
}

import { useEffect, useState } from "preact/hooks";
import { Link } from "wouter-preact";
import { useFollowed, type Followed } from "../../api/follow";
import { useLoad } from "../../api/load";
import { useSession, type Member } from "../../api/session";
import { draftForms, readDraft } from "../../forms/drafts";
import { Unsent } from "../../outbox/Unsent";
import { useOutbox } from "../../outbox/outbox";
import { useUploads } from "../../uploads/uploads";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Stamp } from "../../parts/Stamp/Stamp";
import { TakeAlong } from "../../parts/TakeAlong/TakeAlong";
import { TitleBlock } from "../../parts/TitleBlock/TitleBlock";
import { Waiting } from "../../parts/Trouble/Waiting";
import { listed, when } from "../../words";
import { buildPath, fetchBuild } from "../build/fetch";
import { tagName } from "../build/states";
import { fetchInstruments } from "../instruments/fetch";
import { OnItsWay } from "../series/OnItsWay";
import { filesPath } from "../series/fetch";
import { sheetPath } from "../sheet/refs";
import { trailOf } from "../test/fetch";
import { AddPoint } from "./AddPoint";
import { draftId } from "./AddReading";
import { Ends } from "./Ends";
import { fetchRunIfChanged, runsPath, type Run, type RunAddress } from "./fetch";
import { aboutRun, pointsIn, type PointRef, type Sending } from "./parcels";
import { Plan } from "./Plan";
import { PointSection, type Open } from "./PointSection";
import { Submit } from "./Submit";
import { Judged } from "./VerdictView";
import { stateOf } from "./says";
import { judgedBy, sayUncertified } from "./words";
import "../test/page.css";
import "./page.css";

/** RunPage is one run while it is measured, and afterwards with its verdict. */
export default function RunPage(at: RunAddress) {
  const followed = useFollowed((stamp) => fetchRunIfChanged(at, stamp), [at.project, at.build, at.run]);
  const run = followed.data;
  const session = useSession();
  const member = "member" in session ? session.member : null;
  const { loaded } = useLoad(() => fetchBuild(at), [at.project, at.build]);
  const machine = loaded.state === "here" ? `${tagName(loaded.data.tag)}, ${loaded.data.title}` : (run?.machine ?? "Machine");
  const trail = [...trailOf(at, machine), { href: runsPath(at), name: "Runs" }];
  return (
    <PageFrame title={run ? run.title : `Run ${at.run}`} trail={trail} key={run ? "here" : "waiting"} {...(run ? { aside: <Stamp {...stateOf(run)} /> } : {})}>
      {run && member ? (
        <Measuring at={at} run={run} member={member} followed={followed} machine={machine} />
      ) : (
        <Waiting loaded={followed.trouble ? { state: "failed", trouble: followed.trouble } : { state: "loading" }} again={followed.again} />
      )}
    </PageFrame>
  );
}

interface MeasuringProps {
  at: RunAddress;
  run: Run;
  member: Member;
  followed: Followed<Run>;
  machine: string;
}

function Measuring({ at, run, member, followed, machine }: MeasuringProps) {
  const sending: Sending = { account: member.id, project: at.project, build: at.build, run: at.run };
  const { parcels, sent } = useOutbox(member.id, aboutRun(sending));
  useEffect(() => {
    if (sent > 0) {
      followed.again(); // what went out is to be seen at once
    }
  }, [sent]);
  const uploads = useUploads(member.id, at);
  const instruments = useLoad(fetchInstruments, []);
  const register = instruments.loaded.state === "here" ? instruments.loaded.data.items : [];
  const kept: PointRef[] = run.points.map((p) => ({ name: p.name, setting: p.setting, note: p.note, number: p.number, key: null }));
  const points = [...kept, ...pointsIn(parcels).filter((p) => !kept.some((k) => k.name === p.name))];
  const [chosen, setOpen] = useState<Open | null | undefined>(undefined);
  const open = chosen === undefined ? lastTyped(sending, run, points) : chosen;
  const may = run.allowed_actions.includes("record_reading");
  return (
    <div class="run">
      {followed.cutSince === null ? null : (
        <p class="warn cut off-paper" role="status">
          <b>No connection since {when(followed.cutSince).slice(-5)}.</b> Go on: what you read is kept in this browser and sent when there is signal.
        </p>
      )}
      <div class="off-paper">
        <Unsent account={member.id} parcels={parcels} />
        {uploads.going.map((g) => (
          <OnItsWay key={g.upload.key} going={g} />
        ))}
      </div>
      <About run={run} />
      {run.state === "open" ? <Plan at={at} methods={run.form.methods} /> : <Judged run={run} />}
      {run.state === "open" ? null : <Ends at={at} run={run} member={member} take={followed.take} />}
      <section aria-labelledby="points-title">
        <h2 id="points-title">{run.state === "open" ? "Points" : "What was read"}</h2>
        {run.frozen && run.state === "open" ? <p class="warn">{run.frozen}</p> : null}
        {points.length === 0 ? <p>{may ? "A point is one way of running the machine. Let it run until nothing changes any more, then read." : "Nothing was read."}</p> : null}
        {points.map((p) => (
          <PointSection
            key={p.name}
            sending={sending}
            run={run}
            point={p}
            kept={run.points.find((k) => k.number === p.number) ?? null}
            parcels={parcels}
            instruments={register}
            open={open}
            onOpen={setOpen}
            changed={followed.again}
          />
        ))}
        {may ? <AddPoint key={points.length === 0 ? "first" : "more"} sending={sending} points={points} added={() => setOpen(null)} /> : null}
      </section>
      <p class="off-paper">
        <Link class="do second" href={filesPath(at)}>
          {may ? "From loggers: bring a file, look at what was sent, take readings from it" : "From loggers: files, and what was sent"}
        </Link>
      </p>
      {run.allowed_actions.includes("submit_run") ? <Submit at={at} run={run} sending={sending} unsent={parcels.length + uploads.going.length} take={followed.take} /> : null}
      {run.state === "open" && run.allowed_actions.includes("set_aside_run") ? <Ends at={at} run={run} member={member} take={followed.take} /> : null}
      <div class="row off-paper">
        <Link href={runsPath(at)}>All runs of this machine</Link> <Link href={buildPath(at)}>The machine</Link> <Link href={sheetPath(at.project, run.sheet)}>Its design sheet</Link>
        <button type="button" class="plain" onClick={() => print()}>
          Print
        </button>
      </div>
      <TakeAlong path={`/api/v1${runsPath(at)}/${run.number}/export`} what="This run: every reading as it came, what was worked out of it, and the verdict. Files of loggers go along with the whole project." />
      <div class="closing">
        <TitleBlock
          boxes={[
            { name: "run", value: String(run.number) },
            { name: "machine", value: `${machine}: version ${run.build_version}, revision ${run.letter}`, wide: true },
            { name: "opened", value: `${run.opened_by.name}, ${when(run.opened_at)}`, wide: true },
            { name: "took part", value: listed(run.took_part.map((p) => p.name)), wide: true },
            { name: "coefficients", value: `set ${run.coefficient_set}` },
            { name: "calculation", value: run.calc_version },
            { name: "state", value: <Stamp {...stateOf(run)} /> },
          ]}
        />
      </div>
    </div>
  );
}

/** lastTyped finds the reading that was being typed when the page was left. */
function lastTyped(s: Sending, run: Run, points: PointRef[]): Open | null {
  const forms = new Set(draftForms(s.account));
  const all = points.flatMap((p) => [...run.form.quantities, ...run.form.conditions].map((m) => ({ point: p.name, quantity: m.name })));
  const begun = all.flatMap((o) => {
    const id = draftId(s, o.point, o.quantity);
    const draft = forms.has(id) ? readDraft(s.account, id) : null;
    return draft ? [{ o, at: draft.at }] : [];
  });
  return begun.sort((a, b) => b.at.localeCompare(a.at))[0]?.o ?? null;
}

/** About says what the run is held against, what is to be said of it, and what is dangerous about it. */
function About({ run }: { run: Run }) {
  const uncertified = run.state === "open" ? sayUncertified(run.form.certificate) : "";
  return (
    <>
      {run.purpose ? <p>{run.purpose}</p> : null}
      <p>
        Judged by <b>{judgedBy(run)}</b>. It is held against the machine as it stood, version {run.build_version}, with set {run.coefficient_set} of the coefficients and version {run.calc_version} of the calculation: registered when it was opened, before anything was read.
      </p>
      {uncertified ? (
        <p class="warn">
          <b>No valid certificate.</b> {uncertified}
        </p>
      ) : null}
      {run.marks.map((m) => (
        <p class="warn" key={`${m.code} ${m.text}`}>
          {m.text}
        </p>
      ))}
      {run.state === "open" ? (
        <p class="warn">
          <b>Stored energy, gas in plastic.</b> Keep the distance while there is pressure, read from aside, let it off before you go near. The air is not for breathing.
        </p>
      ) : null}
    </>
  );
}

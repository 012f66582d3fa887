import { Link } from "wouter-preact";
import type { Answer } from "../../api/client";
import { useLoad } from "../../api/load";
import { useSession, type Member } from "../../api/session";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { timeText } from "../../parts/SeriesChart/span";
import { Waiting } from "../../parts/Trouble/Waiting";
import { figures } from "../../units";
import { when } from "../../words";
import { runPath, type Run } from "../run/fetch";
import { Columns } from "./Columns";
import { chartOfSent, fetchRun, fetchSent, filesPath, type Sent, type SentAddress } from "./fetch";
import { sayChannel, sayLeftOut } from "./found";
import { trailTo } from "./trail";
import "../test/page.css";
import "../run/page.css";
import "./page.css";

interface Both {
  sent: Sent | null;
  run: Run;
}

async function fetchBoth(at: SentAddress): Promise<Answer<Both>> {
  const [sent, run] = await Promise.all([fetchSent(at), fetchRun(at)]);
  return !sent.ok ? sent : run.ok ? { ...run, data: { sent: sent.data.items.find((l) => l.id === at.logger) ?? null, run: run.data } } : run;
}

/** SentPage is what a logger sent by itself in a run: its charts, and parts of it that count as readings. */
export default function SentPage(at: SentAddress) {
  const { loaded, again } = useLoad<Both>(() => fetchBoth(at), [at.project, at.build, at.run, at.logger]);
  const session = useSession();
  const member = "member" in session ? session.member : null;
  const here = loaded.state === "here" ? loaded.data : null;
  const trail = [...trailTo(at, here?.run), { href: filesPath(at), name: "From loggers" }];
  return (
    <PageFrame title={here?.sent?.name ?? "What a logger sent"} trail={trail} key={here ? "here" : "waiting"}>
      {here && member ? <Shown at={at} {...here} member={member} again={again} /> : <Waiting loaded={loaded} again={again} />}
      <div class="row off-paper">
        <Link href={filesPath(at)}>All from loggers in this run</Link> <Link href={runPath(at)}>The run</Link>
      </div>
    </PageFrame>
  );
}

function Shown({ at, sent, run, member, again }: Both & { at: SentAddress; member: Member; again: () => void }) {
  if (sent === null) {
    return <p>This logger sent nothing while the run was open.</p>;
  }
  const leftOut = sayLeftOut(sent);
  return (
    <div class="run series-file">
      <p class="small quiet">
        {figures(sent.samples, 12)} {sent.samples === 1 ? "sample" : "samples"}, sent by the logger itself while <Link href={runPath(at)}>{run.title}</Link> was open.
        {sent.revoked_at === null ? "" : ` It was revoked ${when(sent.revoked_at)}: it may send no more, and what it sent stays.`}
      </p>
      {run.state === "open" && sent.revoked_at === null ? (
        <button type="button" class="second off-paper" onClick={again}>
          Fetch what came since
        </button>
      ) : null}
      <section aria-labelledby="report-title">
        <h2 id="report-title">What came</h2>
        <ul>
          {sent.channels.map((c) => (
            <li key={c.name}>
              <b>{c.name}</b>, {sayChannel(c)}: {c.first === null || c.last === null ? "no value" : c.count === 1 ? `one value, ${when(c.first)}` : `${figures(c.count, 12)} values, ${when(c.first)} to ${when(c.last)}`}
              {c.median_step_s > 0 ? `, usually one every ${timeText(c.median_step_s, 0.001)}` : ""}
            </li>
          ))}
        </ul>
        {leftOut ? <p class="warn">{leftOut}</p> : null}
        {sent.certified ? null : <p class="note">The machine had no valid certificate all the time while this was sent. What it says of pressure and air is kept and marked, and never counts.</p>}
      </section>
      {sent.channels.length > 0 ? (
        <Columns account={member.id} at={at} run={run} of={{ logger: at.logger }} columns={sent.channels.map((c) => ({ ...c, step: c.median_step_s }))} fetchChart={chartOfSent(at)} version={sent.samples} />
      ) : null}
    </div>
  );
}

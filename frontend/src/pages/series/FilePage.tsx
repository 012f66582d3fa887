import { useEffect, useState } from "preact/hooks";
import { Link } from "wouter-preact";
import type { Answer } from "../../api/client";
import { useLoad } from "../../api/load";
import type { Fault, Trouble } from "../../api/problem";
import { useSession, type Member } from "../../api/session";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { Waiting } from "../../parts/Trouble/Waiting";
import { missingOf } from "../../uploads/send";
import { size } from "../log/Pictures";
import { runPath, type Run } from "../run/fetch";
import { Columns } from "./Columns";
import { chartOf, fetchFile, fetchRun, filesPath, readFile, type FileAddress, type SeriesFile } from "./fetch";
import { trailTo } from "./trail";
import { Questions } from "./Questions";
import { ReportOf } from "./Report";
import "../test/page.css";
import "../run/page.css";
import "./page.css";

interface Both {
  file: SeriesFile;
  run: Run;
}

async function fetchBoth(at: FileAddress): Promise<Answer<Both>> {
  const [file, run] = await Promise.all([fetchFile(at), fetchRun(at)]);
  return !file.ok ? file : run.ok ? { ...run, data: { file: file.data, run: run.data } } : run;
}

/** FilePage is a file of a logger: what the reader found, its charts, and parts of it that count as readings. */
export default function FilePage(at: FileAddress) {
  const { loaded, again } = useLoad<Both>(() => fetchBoth(at), [at.project, at.build, at.run, at.file]);
  const session = useSession();
  const member = "member" in session ? session.member : null;
  const here = loaded.state === "here" ? loaded.data : null;
  const trail = [...trailTo(at, here?.run), { href: filesPath(at), name: "From loggers" }];
  return (
    <PageFrame title={here?.file.name ?? "Logger file"} trail={trail} key={here ? "here" : "waiting"}>
      {here && member ? <Shown at={at} start={here} member={member} /> : <Waiting loaded={loaded} again={again} />}
    </PageFrame>
  );
}

function Shown({ at, start, member }: { at: FileAddress; start: Both; member: Member }) {
  const [file, setFile] = useState(start.file);
  const left = missingOf(file).length;
  const may = start.run.allowed_actions.includes("record_reading");
  return (
    <div class="run series-file">
      <p class="small quiet">
        {size(file.size)}, chosen by {file.added_by.name} for <Link href={runPath(at)}>{start.run.title}</Link>.
      </p>
      {left > 0 && file.complete_at === null ? (
        <p class="warn">
          <b>Not all of it is here.</b> {left} of {file.part_count} parts are still to come, from the browser in which it was chosen. <Link href={filesPath(at)}>If that is this one, it goes on there.</Link>
        </p>
      ) : file.read ? (
        <Read at={at} file={file} read={file.read} run={start.run} member={member} setFile={setFile} may={may} />
      ) : (
        <Unread at={at} file={file} member={member} setFile={setFile} />
      )}
      <div class="row off-paper">
        <Link href={filesPath(at)}>All from loggers in this run</Link> <Link href={runPath(at)}>The run</Link>
      </div>
    </div>
  );
}

interface OfFile {
  at: FileAddress;
  file: SeriesFile;
  member: Member;
  setFile: (f: SeriesFile) => void;
}

/** Unread has a file read, and asks what it does not say itself. */
function Unread({ at, file, member, setFile }: OfFile) {
  const [faults, setFaults] = useState<Fault[] | null>(null);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const [attempt, setAttempt] = useState(0);
  useEffect(() => {
    let gone = false;
    void readFile(at, {}).then((a) => {
      if (gone) {
        return;
      }
      if (a.ok) {
        setFile(a.data);
      } else if (a.trouble.faults.length > 0) {
        setFaults(a.trouble.faults);
      } else {
        setTrouble(a.trouble);
      }
    });
    return () => {
      gone = true;
    };
  }, [attempt]);
  if (faults) {
    return <Questions account={member.id} zone={member.time_zone} at={at} file={file} faults={faults} read={setFile} />;
  }
  return trouble ? (
    <TroubleNote
      trouble={trouble}
      again={() => {
        setTrouble(null);
        setAttempt((n) => n + 1);
      }}
    />
  ) : (
    <p class="quiet" role="status">
      Reading it …
    </p>
  );
}

interface ReadProps extends OfFile {
  read: NonNullable<SeriesFile["read"]>;
  run: Run;
  may: boolean;
}

function Read({ at, file, read, run, member, setFile, may }: ReadProps) {
  return (
    <>
      <ReportOf read={read} />
      {may ? (
        <details class="fold off-paper">
          <summary>Read it otherwise: other units, columns left out</summary>
          <Questions key={read.number} account={member.id} zone={member.time_zone} at={at} file={file} faults={[]} read={setFile} />
        </details>
      ) : null}
      <Columns account={member.id} at={at} run={run} of={{ file: at.file }} columns={read.report.channels.map((c) => ({ ...c, step: read.report.median_step_s }))} fetchChart={chartOf(at)} version={read.number} />
    </>
  );
}

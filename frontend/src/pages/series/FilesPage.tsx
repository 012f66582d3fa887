import { useEffect, useState } from "preact/hooks";
import { Link } from "wouter-preact";
import type { Answer } from "../../api/client";
import { useLoad } from "../../api/load";
import { useSession, type Member } from "../../api/session";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { Waiting } from "../../parts/Trouble/Waiting";
import { addFile, useUploads } from "../../uploads/uploads";
import { when } from "../../words";
import { size } from "../log/Pictures";
import { runPath, type Run, type RunAddress } from "../run/fetch";
import { fetchFiles, fetchRun, filePath, type SeriesFile } from "./fetch";
import { oddOf } from "./found";
import { OnItsWay } from "./OnItsWay";
import { SentList } from "./Sent";
import { trailTo } from "./trail";
import "../test/page.css";
import "../run/page.css";
import "./page.css";

interface Both {
  files: SeriesFile[];
  run: Run;
}

async function fetchBoth(at: RunAddress): Promise<Answer<Both>> {
  const [files, run] = await Promise.all([fetchFiles(at), fetchRun(at)]);
  return !files.ok ? files : run.ok ? { ...run, data: { files: files.data.items, run: run.data } } : run;
}

/** FilesPage brings files of loggers to a run, and lists those that it has and what loggers sent by themselves. */
export default function FilesPage(at: RunAddress) {
  const { loaded, again } = useLoad<Both>(() => fetchBoth(at), [at.project, at.build, at.run]);
  const [shown, setShown] = useState<Both | null>(null);
  const session = useSession();
  const member = "member" in session ? session.member : null;
  useEffect(() => {
    if (loaded.state === "here") {
      setShown(loaded.data);
    }
  }, [loaded]);
  return (
    <PageFrame title="From loggers" trail={trailTo(at, shown?.run)} key={shown ? "here" : "waiting"}>
      <div class="series-file">
        <section aria-labelledby="files-title">
          <h2 id="files-title">Files</h2>
          {member ? <Bring at={at} member={member} run={shown?.run ?? null} arrived={again} /> : null}
          {shown ? <Files at={at} files={shown.files} /> : <Waiting loaded={loaded} again={again} />}
          {shown && loaded.state === "failed" ? <TroubleNote trouble={loaded.trouble} again={again} /> : null}
        </section>
        {shown ? (
          <section aria-labelledby="sent-title">
            <h2 id="sent-title">Sent by loggers</h2>
            <SentList at={at} run={shown.run} />
          </section>
        ) : null}
      </div>
      <div class="row off-paper">
        <Link href={runPath(at)}>The run</Link>
      </div>
    </PageFrame>
  );
}

/** Bring takes files from this device. It works without signal too: they wait in this browser. */
function Bring({ at, member, run, arrived }: { at: RunAddress; member: Member; run: Run | null; arrived: () => void }) {
  const { going, sent } = useUploads(member.id, at);
  const [faults, setFaults] = useState<string[]>([]);
  const [busy, setBusy] = useState(false);
  useEffect(() => {
    if (sent > 0) {
      arrived();
    }
  }, [sent]);
  const choose = async (e: Event & { currentTarget: HTMLInputElement }) => {
    const files = [...(e.currentTarget.files ?? [])];
    e.currentTarget.value = ""; // so that the same file can be chosen again
    setBusy(true);
    const found: string[] = [];
    for (const f of files) {
      found.push(await addFile(member.id, at, f));
    }
    setFaults(found.filter(Boolean));
    setBusy(false);
  };
  const may = run === null || run.allowed_actions.includes("record_reading");
  return (
    <section class="bring-files off-paper" aria-label="Bring a file">
      {may ? (
        <>
          <p>A file that a logger wrote: text with a column of times and a column for each sensor, its units in the first line. Up to 50 MB and a million rows. It is kept as it is; parts of it are taken as readings.</p>
          <label class="do choose">
            Choose a file
            <input id="series-file" type="file" accept=".csv,.txt,.tsv,.dat,.log,text/csv,text/plain" multiple onChange={(e) => void choose(e)} />
          </label>
        </>
      ) : (
        <p>This run takes no more files.</p>
      )}
      <div role="status">{busy ? <p class="quiet">Looking at it …</p> : null}</div>
      {faults.length > 0 ? (
        <div class="warn" role="alert">
          {faults.map((f) => (
            <p key={f}>{f}</p>
          ))}
        </div>
      ) : null}
      {going.map((g) => (
        <OnItsWay key={g.upload.key} going={g} />
      ))}
    </section>
  );
}

function Files({ at, files }: { at: RunAddress; files: SeriesFile[] }) {
  if (files.length === 0) {
    return <p>The run has no file of a logger yet.</p>;
  }
  return (
    <ul class="designs runs">
      {files.map((f) => (
        <li key={f.id}>
          <Link class="open" href={filePath({ ...at, file: f.id })}>
            <b>{f.name}</b>
          </Link>
          <p class="small quiet">
            {sayStanding(f)} {size(f.size)}, {f.added_by.name}, {when(f.added_at)}.
          </p>
        </li>
      ))}
    </ul>
  );
}

/** sayStanding says how far a file is. */
function sayStanding(f: SeriesFile): string {
  if (f.read) {
    const odd = oddOf(f.read.report).length + f.read.report.channels.filter((c) => c.missing > 0 || c.stuck.length > 0).length;
    return `Read: ${f.read.report.channels.map((c) => c.name).join(", ")}.${odd > 0 ? " Something about it is odd." : ""}`;
  }
  return f.have.length < f.part_count ? `On its way: ${f.have.length} of ${f.part_count} parts are here.` : "Not read yet: it does not say all that is needed.";
}

import { Link } from "wouter-preact";
import { useLoad } from "../../api/load";
import { Waiting } from "../../parts/Trouble/Waiting";
import { figures } from "../../units";
import { buildPath } from "../build/fetch";
import type { Run, RunAddress } from "../run/fetch";
import { fetchSent, sentPath, type Sent } from "./fetch";
import { saySent } from "./found";

/** SentList lists what loggers sent by themselves while a run was open. */
export function SentList({ at, run }: { at: RunAddress; run: Pick<Run, "state"> }) {
  const { loaded, again } = useLoad(() => fetchSent(at), [at.project, at.build, at.run]);
  if (loaded.state !== "here") {
    return <Waiting loaded={loaded} again={again} />;
  }
  return loaded.data.items.length === 0 ? <Nothing at={at} run={run} /> : <List at={at} items={loaded.data.items} />;
}

function Nothing({ at, run }: { at: RunAddress; run: Pick<Run, "state"> }) {
  return run.state === "open" ? (
    <p>
      No logger has sent anything to this run yet. A device with a network sends by itself once it has a token, <Link href={`${buildPath(at)}/loggers`}>from the page of the loggers of this machine</Link>; what it sends goes to the newest open run.
    </p>
  ) : (
    <p>No logger sent anything while this run was open.</p>
  );
}

function List({ at, items }: { at: RunAddress; items: Sent[] }) {
  return (
    <ul class="designs runs">
      {items.map((l) => (
        <li key={l.id}>
          <Link class="open" href={sentPath({ ...at, logger: l.id })}>
            <b>{l.name}</b>
          </Link>
          <p class="small quiet">
            {l.channels.length === 0 ? "Nothing of it enters a result" : `Sent: ${l.channels.map((c) => c.name).join(", ")}`}. {figures(l.samples, 12)} {l.samples === 1 ? "sample" : "samples"}
            {saySent(l)}.{l.revoked_at === null ? "" : " It may send no more."}
          </p>
        </li>
      ))}
    </ul>
  );
}

import { Link } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { Stamp } from "../../parts/Stamp/Stamp";
import { Waiting } from "../../parts/Trouble/Waiting";
import { buildPath } from "../build/fetch";
import { buildWords, tagName } from "../build/states";
import { Level } from "./Fall";

type BuildHead = Schema<"BuildHead">;

/** BuildLevel lists the machines of the project, each with what everybody who comes near must know. */
export function BuildLevel({ project: p }: { project: Schema<"Project"> }) {
  const { loaded, again } = useLoad<Schema<"BuildList">>(() => ask(api.GET("/api/v1/projects/{project}/builds", { params: { path: { project: p.id } } })), [p.id, p.closed_at ?? ""]);
  if (loaded.state !== "here") {
    return (
      <Level name="Build" reached={false}>
        <Waiting loaded={loaded} again={again} />
      </Level>
    );
  }
  const { items, next, allowed_actions } = loaded.data;
  const cleared = p.designs.some((d) => d.revision.state === "cleared");
  return (
    <Level name="Build" reached={items.length > 0}>
      {items.length === 0 ? (
        <p>{cleared ? "A revision is cleared: it may be built now. No machine is begun yet." : "No machine is begun yet. It takes a revision that was checked and cleared."}</p>
      ) : (
        <ul class="designs">
          {items.map((b) => (
            <BuildLine key={b.id} build={b} />
          ))}
        </ul>
      )}
      {next === null ? null : <p class="quiet small">Only the newest {items.length} stand here.</p>}
      <div class="row">
        {allowed_actions.includes("start_build") && (cleared || items.length > 0) ? (
          <Link href={`/projects/${p.id}/builds/new`} class={cleared && items.length === 0 ? "do" : "do second"}>
            {items.length === 0 ? "Start a build" : "Start another build"}
          </Link>
        ) : null}
        <Link href={`/projects/${p.id}/log`} class="do second">
          Log of the project
        </Link>
      </div>
    </Level>
  );
}

function BuildLine({ build: b }: { build: BuildHead }) {
  const grave = b.marks.filter((m) => m.code !== "revision-superseded");
  return (
    <li>
      <Link href={buildPath({ project: b.project, build: b.id })} class="open">
        <b>
          {tagName(b.tag)}, {b.title}
        </b>
        <span>
          Revision {b.letter} <Stamp word={buildWords[b.state]} danger={grave.length > 0} />
        </span>
      </Link>
      {b.marks.map((m) => (
        <p key={m.code} class={grave.includes(m) ? "warn" : "quiet"}>
          {m.text}
        </p>
      ))}
      {grave.length > 0 || b.state === "scrapped" ? null : <p>{b.state === "in_service" ? "It has a valid certificate." : "Not in service: keep pressure off, but for its test."}</p>}
      <p class="quiet small">{b.place}</p>
    </li>
  );
}

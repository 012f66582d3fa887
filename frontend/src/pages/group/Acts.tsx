import { useEffect, useState } from "preact/hooks";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import type { Trouble } from "../../api/problem";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { Waiting } from "../../parts/Trouble/Waiting";
import { when } from "../../words";
import { sayAct } from "./words";

type ActList = Schema<"ActList">;

function fetchActs(before?: number) {
  return ask(api.GET("/api/v1/group/acts", { params: { query: { limit: 15, ...(before === undefined ? {} : { before }) } } }));
}

/** Acts are on record: who did what about people and the group, newest first. */
export function Acts({ changes }: { changes: number }) {
  const { loaded, again } = useLoad<ActList>(() => fetchActs(), [changes]);
  const [older, setOlder] = useState<ActList[]>([]);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  useEffect(() => setOlder([]), [changes]);
  if (loaded.state !== "here") {
    return (
      <section aria-label="On record">
        <h2>On record</h2>
        <Waiting loaded={loaded} again={again} />
      </section>
    );
  }
  const pages = [loaded.data, ...older];
  const next = pages[pages.length - 1]?.next ?? null;
  const more = async (before: number) => {
    const a = await fetchActs(before);
    setTrouble(a.ok ? null : a.trouble);
    if (a.ok) {
      setOlder((now) => [...now, a.data]);
    }
  };
  return (
    <section aria-labelledby="acts-title">
      <h2 id="acts-title">On record</h2>
      <p>What was done about people and settings. It is only ever added to, and every member can read it.</p>
      {pages[0]?.items.length === 0 ? <p class="quiet">Nothing yet.</p> : null}
      <ol class="acts">
        {pages
          .flatMap((p) => p.items)
          .map((a) => (
            <li key={a.id}>
              <span class="small quiet">{when(a.at)}</span>
              <span>{sayAct(a)}</span>
            </li>
          ))}
      </ol>
      {trouble ? <TroubleNote trouble={trouble} /> : null}
      {next !== null ? (
        <button type="button" class="second" onClick={() => void more(next)}>
          Show older ones
        </button>
      ) : null}
    </section>
  );
}

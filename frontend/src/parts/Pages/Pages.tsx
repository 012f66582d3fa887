import type { ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import type { Answer } from "../../api/client";
import { useLoad } from "../../api/load";
import type { Trouble } from "../../api/problem";
import { TroubleNote } from "../Trouble/TroubleNote";
import { Waiting } from "../Trouble/Waiting";

interface Page<T> {
  items: T[];
  next: number | null;
}

interface Props<T> {
  fetchPage: (before?: number) => Promise<Answer<Page<T>>>;
  on: readonly (string | number)[];
  /** What stands there when the list has nothing. */
  empty: string;
  children: (items: T[]) => ComponentChildren;
}

/** Pages is a long list, newest first: its first page, and older ones when they are asked for. */
export function Pages<T>({ fetchPage, on, empty, children }: Props<T>) {
  const { loaded, again } = useLoad<Page<T>>(() => fetchPage(), on);
  const [older, setOlder] = useState<Page<T>[]>([]);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  if (loaded.state !== "here") {
    return <Waiting loaded={loaded} again={again} />;
  }
  const pages = [loaded.data, ...older];
  const next = pages[pages.length - 1]?.next ?? null;
  const more = async (before: number) => {
    const a = await fetchPage(before);
    setTrouble(a.ok ? null : a.trouble);
    if (a.ok) {
      setOlder((now) => [...now, a.data]);
    }
  };
  return (
    <>
      {loaded.data.items.length === 0 ? <p class="quiet">{empty}</p> : children(pages.flatMap((p) => p.items))}
      {trouble ? <TroubleNote trouble={trouble} /> : null}
      {next !== null ? (
        <button type="button" class="second" onClick={() => void more(next)}>
          Show older ones
        </button>
      ) : null}
    </>
  );
}

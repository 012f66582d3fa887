import { useEffect, useState } from "preact/hooks";
import type { Answer } from "./client";
import type { Trouble } from "./problem";

/** A thing of the server on a page: on its way, not to be had, or here with its version. */
export type Loaded<T> = { state: "loading" } | { state: "failed"; trouble: Trouble } | { state: "here"; data: T; etag: string | null };

/** useLoad fetches when it is first drawn and when what it depends on changes; again asks once more. */
export function useLoad<T>(fetcher: () => Promise<Answer<T>>, on: readonly (string | number)[]): { loaded: Loaded<T>; again: () => void } {
  const [loaded, setLoaded] = useState<Loaded<T>>({ state: "loading" });
  const [attempt, setAttempt] = useState(0);
  useEffect(() => {
    let wanted = true;
    void fetcher().then((a) => {
      if (wanted) {
        setLoaded(a.ok ? { state: "here", data: a.data, etag: a.etag } : { state: "failed", trouble: a.trouble });
      }
    });
    return () => {
      wanted = false;
    };
  }, [attempt, ...on]);
  const again = () => {
    setLoaded({ state: "loading" });
    setAttempt((n) => n + 1);
  };
  return { loaded, again };
}

import { useEffect, useState } from "preact/hooks";
import { api, ask, type Schema } from "../../api/client";
import type { Trouble } from "../../api/problem";

const pause_ms = 400; // between two looks at a search

/** What is known of a search: nothing yet, how far it is, or why it can't be seen. */
export type Watched = { state: "none" } | { state: "seen"; search: Schema<"Search"> } | { state: "gone"; detail: string } | { state: "trouble"; trouble: Trouble };

/** useSearch follows a search until it has ended. A lost connection does not stop the search: it is asked after again. */
export function useSearch(id: string | null): { watched: Watched; again: () => void } {
  const [watched, setWatched] = useState<Watched>({ state: "none" });
  const [attempt, setAttempt] = useState(0);
  useEffect(() => {
    setWatched({ state: "none" });
    if (id === null) {
      return;
    }
    let timer = 0;
    let wanted = true;
    const look = async () => {
      const a = await ask(api.GET("/api/v1/searches/{search}", { params: { path: { search: id } } }));
      if (!wanted) {
        return;
      }
      setWatched(a.ok ? { state: "seen", search: a.data } : a.trouble.kind === "missing" ? { state: "gone", detail: a.trouble.detail } : { state: "trouble", trouble: a.trouble });
      if (a.ok ? a.data.state !== "ended" : a.trouble.kind === "offline") {
        timer = window.setTimeout(() => void look(), a.ok ? pause_ms : 5 * pause_ms);
      }
    };
    void look();
    return () => {
      wanted = false;
      window.clearTimeout(timer);
    };
  }, [id, attempt]);
  return { watched, again: () => setAttempt((n) => n + 1) };
}

/** useLate turns true when something has been so for a second. */
export function useLate(so: boolean): boolean {
  const [late, setLate] = useState(false);
  useEffect(() => {
    setLate(false);
    const timer = so ? window.setTimeout(() => setLate(true), 1000) : 0;
    return () => window.clearTimeout(timer);
  }, [so]);
  return late;
}

import { useEffect, useRef, useState } from "preact/hooks";
import type { Answer } from "./client";
import type { Trouble } from "./problem";

/** Two people who work on one thing see each other's doings within five seconds. */
const every_ms = 3000;

/** A thing as it stands for everybody who works on it. */
export interface Followed<T> {
  data: T | null;
  /** Why there is nothing to show; null while there is, or while it is fetched first. */
  trouble: Trouble | null;
  /** Since when the notebook does not answer; null while it does. */
  cutSince: string | null;
  /** Takes it as the answer to a doing of one's own shows it. */
  take: (data: T) => void;
  /** Asks now, without waiting for the next time. */
  again: () => void;
}

/**
 * useFollowed asks for a thing again and again while the page is looked at; what
 * did not change costs next to nothing. The fetcher is given the ETag of what was
 * read before.
 */
export function useFollowed<T>(fetcher: (stamp: string | null) => Promise<Answer<T> | "same">, on: readonly (string | number)[]): Followed<T> {
  const [data, setData] = useState<T | null>(null);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const [cutSince, setCutSince] = useState<string | null>(null);
  const stamp = useRef<string | null>(null);
  const taken = useRef(0);
  const look = async () => {
    const before = taken.current;
    const a = await fetcher(stamp.current);
    if (before !== taken.current) {
      return; // a doing of one's own was quicker
    }
    if (a === "same" || a.ok) {
      setCutSince(null);
      setTrouble(null);
    }
    if (a === "same") {
      return;
    }
    if (a.ok) {
      stamp.current = a.etag;
      setData(a.data);
    } else {
      setTrouble(a.trouble);
      setCutSince((since) => since ?? new Date().toISOString());
    }
  };
  useEffect(() => {
    let gone = false;
    let timer: ReturnType<typeof setTimeout> | undefined;
    const round = async () => {
      clearTimeout(timer);
      if (document.visibilityState === "visible") {
        await look();
      }
      if (!gone) {
        clearTimeout(timer);
        timer = setTimeout(() => void round(), every_ms);
      }
    };
    const now = () => void round();
    now();
    addEventListener("online", now);
    addEventListener("offline", now);
    document.addEventListener("visibilitychange", now);
    return () => {
      gone = true;
      clearTimeout(timer);
      removeEventListener("online", now);
      removeEventListener("offline", now);
      document.removeEventListener("visibilitychange", now);
    };
  }, on);
  return {
    data,
    trouble,
    cutSince,
    take: (t) => {
      taken.current++;
      stamp.current = null;
      setCutSince(null);
      setData(t);
    },
    again: () => {
      setTrouble(null);
      void look();
    },
  };
}

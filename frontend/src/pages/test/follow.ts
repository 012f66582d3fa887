import { useEffect, useRef, useState } from "preact/hooks";
import type { Trouble } from "../../api/problem";
import { fetchIfChanged, type Test, type TestAddress } from "./fetch";

/** Two people who test see each other's signatures within five seconds. */
const every_ms = 3000;

/** A test sheet as it stands for everybody who works on it. */
export interface Followed {
  test: Test | null;
  /** Why there is nothing to show; null while there is, or while it is fetched first. */
  trouble: Trouble | null;
  /** Since when the notebook does not answer; null while it does. */
  cutSince: string | null;
  /** Takes the sheet as the answer to a signature shows it. */
  take: (t: Test) => void;
  again: () => void;
}

/** useTest asks for a test sheet again and again while the page is looked at; what did not change costs next to nothing. */
export function useTest(at: TestAddress): Followed {
  const [test, setTest] = useState<Test | null>(null);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const [cutSince, setCutSince] = useState<string | null>(null);
  const stamp = useRef<string | null>(null);
  const taken = useRef(0);
  const look = async () => {
    const before = taken.current;
    const a = await fetchIfChanged(at, stamp.current);
    if (before !== taken.current) {
      return; // a signature of one's own was quicker
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
      setTest(a.data);
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
  }, [at.project, at.build, at.test]);
  return {
    test,
    trouble,
    cutSince,
    take: (t) => {
      taken.current++;
      stamp.current = null;
      setCutSince(null);
      setTest(t);
    },
    again: () => {
      setTrouble(null);
      void look();
    },
  };
}

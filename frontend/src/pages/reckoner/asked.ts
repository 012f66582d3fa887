import { useEffect, useState } from "preact/hooks";
import { api, ask, type Schema } from "../../api/client";
import type { Trouble } from "../../api/problem";

const pause_ms = 350; // after the last key: long enough to finish a number, short enough to seem at once

/** useSettled follows a value once it has not changed for a moment. */
export function useSettled<T>(value: T): T {
  const [settled, setSettled] = useState(value);
  useEffect(() => {
    const timer = window.setTimeout(() => setSettled(value), pause_ms);
    return () => window.clearTimeout(timer);
  }, [value]);
  return settled;
}

/** What was answered last, and to what. */
export interface Asked {
  answer: Schema<"CalcAnswer"> | null;
  of: string | null;
  trouble: Trouble | null;
  again: () => void;
}

/** useAnswer asks a calculation; the newest question wins. Without a question the last answer stays. */
export function useAnswer(name: string, question: string | null): Asked {
  const [answered, setAnswered] = useState<{ answer: Schema<"CalcAnswer">; of: string } | null>(null);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const [attempt, setAttempt] = useState(0);
  useEffect(() => {
    if (question === null) {
      return;
    }
    const stop = new AbortController();
    const [family = "", rest = ""] = name.split("/");
    const body = JSON.parse(question) as Record<string, unknown>;
    void ask(api.POST("/api/v1/calc/{family}/{name}", { params: { path: { family, name: rest } }, body, signal: stop.signal })).then((a) => {
      if (stop.signal.aborted) {
        return;
      }
      setTrouble(a.ok ? null : a.trouble);
      if (a.ok) {
        setAnswered({ answer: a.data, of: question });
      }
    });
    return () => stop.abort();
  }, [name, question, attempt]);
  return { answer: answered?.answer ?? null, of: answered?.of ?? null, trouble, again: () => setAttempt((n) => n + 1) };
}

import { useEffect, useState } from "preact/hooks";
import { ask, open, type Schema } from "./api/client";
import type { Trouble } from "./api/problem";
import { resume } from "./api/session";

/** What must be known before the first page can be shown. */
export type Boot = { state: "loading" } | { state: "failed"; trouble: Trouble } | { state: "ready"; setup: Schema<"Setup"> };

/** useBoot asks how this notebook is set up and takes up a session that is still good. */
export function useBoot(): { boot: Boot; again: () => void } {
  const [boot, setBoot] = useState<Boot>({ state: "loading" });
  const [attempt, setAttempt] = useState(0);
  useEffect(() => {
    void start().then(setBoot);
  }, [attempt]);
  const again = () => {
    setBoot({ state: "loading" });
    setAttempt((n) => n + 1);
  };
  return { boot, again };
}

async function start(): Promise<Boot> {
  const setup = await ask(open.GET("/api/v1/setup"));
  if (!setup.ok) {
    return { state: "failed", trouble: setup.trouble };
  }
  const resumed = await ask(resume().then(() => ({ response: new Response() })));
  return resumed.ok ? { state: "ready", setup: setup.data } : { state: "failed", trouble: resumed.trouble };
}

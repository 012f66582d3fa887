import { useState } from "preact/hooks";
import { takeFile, type Taken, type Travelled } from "../../api/carry";
import type { Trouble } from "../../api/problem";
import { TroubleNote } from "../Trouble/TroubleNote";
import { Way } from "./Way";
import "./takealong.css";

type State = { is: "rest" } | { is: "made" } | { is: "on its way"; way: Travelled } | { is: "here"; name: string } | { is: "failed"; trouble: Trouble };

/** TakeAlong downloads a thing as one file that stands alone. It needs the session, so no plain link reaches it. */
export function TakeAlong({ path, what }: { path: string; what: string }) {
  const [state, setState] = useState<State>({ is: "rest" });
  const busy = state.is === "made" || state.is === "on its way";
  const take = async () => {
    if (busy) {
      return;
    }
    setState({ is: "made" });
    const a = await takeFile(path, (way) => setState({ is: "on its way", way }));
    if (a.ok) {
      save(a.data);
    }
    setState(a.ok ? { is: "here", name: a.data.name } : { is: "failed", trouble: a.trouble });
  };
  return (
    <section class="take-along off-paper" aria-labelledby="take-along-title">
      <h2 id="take-along-title">Take it along as one file</h2>
      <p>{what} Its tables open in a spreadsheet. Names of people are in it.</p>
      <button type="button" class="second" aria-disabled={busy} onClick={() => void take()}>
        Download it
      </button>
      <p role="status">{says(state)}</p>
      {state.is === "on its way" ? <Way label="Fetched so far" of={state.way} /> : null}
      {state.is === "failed" ? <TroubleNote trouble={state.trouble} again={() => void take()} /> : null}
    </section>
  );
}

function says(state: State): string {
  switch (state.is) {
    case "made":
      return "The notebook puts it together …";
    case "on its way":
      return "It is on its way …";
    case "here":
      return `It is here: ${state.name}`;
    default:
      return "";
  }
}

function save({ file, name }: Taken): void {
  const url = URL.createObjectURL(file);
  const link = document.createElement("a");
  link.href = url;
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

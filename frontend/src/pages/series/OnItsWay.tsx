import { arrivedOf } from "../../uploads/send";
import { throwAway, tryAgain, type Going } from "../../uploads/uploads";
import { when } from "../../words";
import { size } from "../log/Pictures";
import "./page.css";

/** OnItsWay says how much of a file the notebook has, and why it does not go on. */
export function OnItsWay({ going: { upload: u, file, cut, heldOnly } }: { going: Going }) {
  const whole = u.body.size;
  const there = file ? arrivedOf(file) : 0;
  return (
    <section class="warn on-its-way" aria-label={`On its way: ${u.name}`}>
      <p>
        <b>{u.name} is not sent yet.</b> {there === 0 ? `All of its ${size(whole)} are` : there < whole ? `${size(whole - there)} of its ${size(whole)} are` : "It is all there and is being read; until that is done it stays"} in this browser
        {there < whole ? " only" : ""}.
      </p>
      <label>
        <span class="small">{file ? `${file.have.length} of ${file.part_count} parts are with the notebook.` : "Nothing is with the notebook yet."}</span>
        <progress max={whole} value={there} />
      </label>
      <p role="status">
        {u.refused !== null ? (
          `The notebook refused it: ${u.refused}`
        ) : cut ? (
          <>
            {cut.kind === "offline" ? "No connection. It goes on by itself when there is signal, where it was cut off." : `${cut.title} ${cut.kind === "expired" ? "" : cut.detail}`}
          </>
        ) : (
          "Sending …"
        )}
      </p>
      <p class="small quiet">
        {heldOnly ? <b>This browser keeps nothing: leave this page open until it is sent.</b> : "You may close this page: it goes on when this browser is here again. Don’t clear the browser until then."} Chosen {when(u.begun)}.
      </p>
      {u.refused !== null || cut ? (
        <div class="row">
          <button type="button" class="second" onClick={() => void tryAgain(u)}>
            Send it now
          </button>
          <button type="button" class="plain" onClick={() => void throwAway(u.key)}>
            Don’t send it
          </button>
        </div>
      ) : null}
    </section>
  );
}

import { useEffect, useState } from "preact/hooks";
import { lost, press, type Timing } from "./timing";

/** Timer is the one large button, and the fills so far. */
export function Timer({ timing, onChange }: { timing: Timing; onChange: (t: Timing) => void }) {
  const [said, setSaid] = useState("");
  const running = timing.began !== null;
  const pressed = () => {
    const now = Date.now();
    setSaid(lost(timing, now) ? "That fill does not count: it ran longer than half an hour, or the clock of the phone was set." : "");
    onChange(press(timing, now));
  };
  const strike = (i: number) => onChange({ ...timing, fills: timing.fills.map((f, at) => (at === i ? { ...f, struck: !f.struck } : f)) });
  return (
    <>
      <button type="button" class={running ? "timer running" : "timer"} onClick={pressed}>
        {running ? "Full" : timing.fills.length > 0 ? "Fill it again" : "It begins to fill"}
        <Seconds began={timing.began} />
      </button>
      <div role="status">{said ? <p class="warn small">{said}</p> : null}</div>
      {timing.fills.length > 0 ? (
        <ol class="fills" aria-label="Fills">
          {timing.fills.map((f, i) => (
            <li key={i}>
              {f.struck ? <s>{f.s.toFixed(1)} s</s> : <b>{f.s.toFixed(1)} s</b>}
              <button type="button" class="plain" aria-label={f.struck ? `Count fill ${i + 1} again` : `Strike out fill ${i + 1}`} onClick={() => strike(i)}>
                {f.struck ? "Count it" : "Strike out"}
              </button>
            </li>
          ))}
        </ol>
      ) : null}
    </>
  );
}

/** Seconds runs while a fill does. */
function Seconds({ began }: { began: number | null }) {
  const [now, setNow] = useState(Date.now());
  useEffect(() => {
    if (began === null) {
      return undefined;
    }
    setNow(Date.now());
    const tick = setInterval(() => setNow(Date.now()), 100);
    return () => clearInterval(tick);
  }, [began]);
  return began === null ? null : <span class="seconds">{Math.max(0, (now - began) / 1000).toFixed(1)} s</span>;
}

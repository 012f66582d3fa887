import { useEffect, useState } from "preact/hooks";

/** A second press so soon after the first is the same thumb. */
const bounce_ms = 400;

/** Stopwatch takes a time by two presses of one large button. */
export function Stopwatch({ taken }: { taken: (seconds: string) => void }) {
  const [began, setBegan] = useState<number | null>(null);
  const press = () => {
    const now = Date.now();
    if (began === null) {
      setBegan(now);
    } else if (now - began >= bounce_ms) {
      setBegan(null);
      taken(((now - began) / 1000).toFixed(2));
    }
  };
  return (
    <button type="button" class={began === null ? "second watch" : "watch"} onClick={press}>
      {began === null ? "Time one with this phone" : <Running began={began} />}
    </button>
  );
}

function Running({ began }: { began: number }) {
  const [now, setNow] = useState(Date.now());
  useEffect(() => {
    const tick = setInterval(() => setNow(Date.now()), 100);
    return () => clearInterval(tick);
  }, []);
  return <>Stop: {(Math.max(0, now - began) / 1000).toFixed(1)} s</>;
}

import { useState } from "preact/hooks";
import { api, ask, type Answer, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import type { Trouble } from "../../api/problem";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { Waiting } from "../../parts/Trouble/Waiting";
import { when } from "../../words";

type Device = Schema<"Device">;

/** Devices is where the member is signed in, and the way to end that from afar. */
export function Devices() {
  const [ended, setEnded] = useState(0);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const { loaded, again } = useLoad<Schema<"DeviceList">>(() => ask(api.GET("/api/v1/me/sessions")), [ended]);
  const take = (a: Answer<unknown>) => {
    // One that is gone already is what was wanted.
    setTrouble(a.ok || a.trouble.kind === "missing" ? null : a.trouble);
    setEnded((n) => n + 1);
  };
  const endOne = async (d: Device) => take(await ask(api.DELETE("/api/v1/me/sessions/{session}", { params: { path: { session: d.id } } })));
  const endOthers = async () => take(await ask(api.DELETE("/api/v1/me/sessions")));
  return (
    <section aria-labelledby="devices-title">
      <h2 id="devices-title">Where you are signed in</h2>
      {trouble ? <TroubleNote trouble={trouble} /> : null}
      {loaded.state === "here" ? (
        <>
          <ul class="devices">
            {loaded.data.items.map((d) => (
              <DeviceLine key={d.id} device={d} end={() => void endOne(d)} />
            ))}
          </ul>
          {loaded.data.items.length > 1 ? (
            <button type="button" class="second" onClick={() => void endOthers()}>
              Sign out all others
            </button>
          ) : null}
        </>
      ) : (
        <Waiting loaded={loaded} again={again} />
      )}
    </section>
  );
}

function DeviceLine({ device: d, end }: { device: Device; end: () => void }) {
  const name = d.browser || "a browser not known";
  return (
    <li>
      <p>
        <b>{name}</b>
        {d.here ? " (this device)" : ""}
        <br />
        <span class="quiet small">
          signed in {when(d.begun_at)}, last used {when(d.used_at)}
        </span>
      </p>
      {d.here ? null : (
        <button type="button" class="plain" aria-label={`Sign out ${name}, last used ${when(d.used_at)}`} onClick={end}>
          Sign out
        </button>
      )}
    </li>
  );
}

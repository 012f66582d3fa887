import { useEffect, useState } from "preact/hooks";
import { api, ask } from "../../api/client";
import { useSession } from "../../api/session";
import type { Trouble } from "../../api/problem";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { Field } from "../../parts/Field/Field";
import { today } from "../gauging/facts";
import type { Gauged } from "./flow";
import { drop, keepPlaces, put, readPlaces, readUnsent, send, type Place } from "./queue";

interface KeepProps {
  found: Gauged | null;
  how: string;
  onKept: () => void;
}

/** Keep puts a gauging to a site: at once with signal, else as soon as there is some. */
export function Keep({ found, how, onKept }: KeepProps) {
  const session = useSession();
  const signedIn = session.state === "in" ? session.member : null;
  const places = usePlaces(signedIn);
  const account = signedIn?.id ?? places?.account ?? null;
  const [place, setPlace] = useState("");
  const [said, setSaid] = useState("");
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const [, redraw] = useState(0);
  const deliver = async () => {
    if (!signedIn) {
      return;
    }
    const waiting = readUnsent(signedIn.id).length;
    const stopped = await send(signedIn.id);
    const left = readUnsent(signedIn.id).length;
    setTrouble(stopped?.kind === "offline" ? null : stopped);
    setSaid(waiting > left ? `${waiting - left === 1 ? "The gauging is" : `${waiting - left} gaugings are`} with the notebook now.` : "");
    redraw((n) => n + 1);
  };
  useEffect(() => {
    const go = () => void deliver();
    go();
    window.addEventListener("online", go);
    return () => window.removeEventListener("online", go);
  }, [signedIn?.id]);

  const chosen = places?.places.find((p) => String(p.id) === place) ?? (places?.places.length === 1 ? places.places[0] : undefined);
  const keep = () => {
    if (!found || !chosen || account === null) {
      setSaid(chosen ? "" : "Choose the site first.");
      return;
    }
    const round = (x: number) => Number(x.toPrecision(6));
    const body = { flow_m3s: round(found.flow_m3s), half_width_m3s: round(Math.min(found.half_m3s, found.flow_m3s)), gauged_on: today(), how, note: "" };
    if (!put(account, chosen, body)) {
      setSaid("This browser keeps nothing. Write the flow down on paper.");
      return;
    }
    setSaid("");
    onKept();
    void deliver();
  };
  const unsent = account === null ? [] : readUnsent(account);
  return (
    <section aria-label="Keep it" class="stack">
      <h2>Keep it</h2>
      {places === null ? (
        <p class="quiet">This device does not know your projects yet. Sign in once where there is signal; what you timed stays here until then.</p>
      ) : places.places.length === 0 ? (
        <p class="quiet">You are on the crew of no project yet. Start one where there is signal; what you timed stays here until then.</p>
      ) : (
        <>
          <Field name="place" label="Site of the project">
            {(control) => (
              <select {...control} value={chosen ? String(chosen.id) : ""} onChange={(e) => setPlace(e.currentTarget.value)}>
                {places.places.length === 1 ? null : <option value="">Choose</option>}
                {places.places.map((p) => (
                  <option key={p.id} value={p.id}>
                    {p.title}
                  </option>
                ))}
              </select>
            )}
          </Field>
          <button type="button" aria-disabled={!found} onClick={keep}>
            Keep as a gauging
          </button>
          {found ? null : <p class="small quiet">There is no flow to keep yet.</p>}
        </>
      )}
      {trouble ? <TroubleNote trouble={trouble} again={() => void deliver()} /> : null}
      <div role="status">
        {said ? <p>{said}</p> : null}
        {unsent.length > 0 ? <b>{unsent.length === 1 ? "One gauging is" : `${unsent.length} gaugings are`} in this phone and not with the notebook yet.</b> : null}
      </div>
      {unsent.length > 0 ? (
        <ul>
          {unsent.map((u) => (
            <li key={u.body.client_key}>
              {u.title}: {u.body.how}
              {u.refused ? (
                <>
                  <p class="warn">The notebook refused it: {u.refused}</p>
                  <button
                    type="button"
                    class="second"
                    onClick={() => {
                      if (account !== null) {
                        drop(account, u.body.client_key);
                        redraw((n) => n + 1);
                      }
                    }}
                  >
                    Throw it away
                  </button>
                </>
              ) : null}
            </li>
          ))}
        </ul>
      ) : null}
      {unsent.length > 0 && signedIn ? (
        <button type="button" class="second" onClick={() => void deliver()}>
          Send now
        </button>
      ) : null}
    </section>
  );
}

/** usePlaces gives the projects whose crew the member is on: from the notebook with signal, else as this device knows them. */
function usePlaces(member: { id: number; units: string } | null) {
  const [places, setPlaces] = useState(readPlaces);
  useEffect(() => {
    if (!member) {
      return;
    }
    void ask(api.GET("/api/v1/projects", { params: { query: { limit: 100 } } })).then((a) => {
      if (a.ok) {
        const own: Place[] = a.data.items.filter((p) => p.closed_at === null && p.crew.some((c) => c.id === member.id)).map(({ id, title }) => ({ id, title }));
        const known = { account: member.id, units: member.units, places: own };
        keepPlaces(known);
        setPlaces(known);
      }
    });
  }, [member?.id]);
  return places && member && places.account !== member.id ? null : places;
}

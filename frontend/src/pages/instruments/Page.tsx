import { Link } from "wouter-preact";
import type { Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { Ledger } from "../../parts/Ledger/Ledger";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Stamp } from "../../parts/Stamp/Stamp";
import { Waiting } from "../../parts/Trouble/Waiting";
import { useUnits } from "../../system";
import { accuracy, dayWords, kinds, range, state, type Instrument } from "./facts";
import { fetchInstruments } from "./fetch";

/** InstrumentsPage is the register of what the group measures with. */
export default function InstrumentsPage() {
  const { loaded, again } = useLoad<Schema<"InstrumentList">>(fetchInstruments, []);
  return (
    <PageFrame title="Instruments" trail={[{ href: "/group", name: "Group" }]} wide>
      <p>
        What the group measures with, and when it was last held against something better. An instrument whose calibration has run out, or that was found wrong, can’t be used for
        a pressure test. Keepers keep the register; every member reads it.
      </p>
      {loaded.state !== "here" ? (
        <Waiting loaded={loaded} again={again} />
      ) : (
        <>
          {loaded.data.items.length === 0 ? (
            <p class="quiet">
              Nothing yet. Begin with the gauge of the pressure test: its range, its class from the dial, and the day on which somebody compared it with a better one.
            </p>
          ) : (
            <Register items={loaded.data.items} />
          )}
          {loaded.data.allowed_actions.includes("keep_instruments") ? (
            <p>
              <Link class="do" href="/group/instruments/new">
                Add an instrument
              </Link>
            </p>
          ) : null}
        </>
      )}
    </PageFrame>
  );
}

function Register({ items }: { items: Instrument[] }) {
  const units = useUnits();
  return (
    <Ledger>
      <table aria-label="Instruments">
        <thead>
          <tr>
            <th scope="col">Instrument</th>
            <th scope="col">Range</th>
            <th scope="col">How far it may be off</th>
            <th scope="col">Calibrated</th>
            <th scope="col">Counts until</th>
            <th scope="col">State</th>
          </tr>
        </thead>
        <tbody>
          {items.map((i) => (
            <tr key={i.id}>
              <th scope="row">
                <Link href={`/group/instruments/${i.id}`}>{i.name}</Link>
                <span class="small quiet">{[kinds[i.kind].name, i.serial].filter(Boolean).join(", ")}</span>
              </th>
              <td data-of="Range">{range(i, units)}</td>
              <td data-of="How far it may be off">{accuracy(i, units)}</td>
              <td data-of="Calibrated">{i.calibrated_on ? dayWords(i.calibrated_on) : "never"}</td>
              <td data-of="Counts until">{i.due_on ? dayWords(i.due_on) : "–"}</td>
              <td>
                <Stamp {...state(i)} />
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </Ledger>
  );
}

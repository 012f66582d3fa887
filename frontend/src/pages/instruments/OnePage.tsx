import { useState } from "preact/hooks";
import { Link } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Pages } from "../../parts/Pages/Pages";
import { Stamp } from "../../parts/Stamp/Stamp";
import { Waiting } from "../../parts/Trouble/Waiting";
import { useUnits } from "../../system";
import { show, spanOf } from "../../units";
import { when } from "../../words";
import { ActForms } from "./ActForms";
import { accuracy, dayWords, kinds, range, state, unitOf, type Instrument } from "./facts";
import { fetchInstrument } from "./fetch";
import "./page.css";

type Act = Schema<"InstrumentAct">;

/** OnePage is one instrument: what the register says, its history, and what a keeper may enter. */
export default function OnePage({ account, instrument }: { account: number; instrument: number }) {
  const [changes, setChanges] = useState(0);
  const { loaded, again } = useLoad<Instrument>(() => fetchInstrument(instrument), [instrument, changes]);
  const here = loaded.state === "here" ? loaded.data : null;
  return (
    <PageFrame
      key={here ? "here" : "waiting"}
      title={here?.name ?? "Instrument"}
      trail={[
        { href: "/group", name: "Group" },
        { href: "/group/instruments", name: "Instruments" },
      ]}
      aside={here ? <Stamp {...state(here)} /> : null}
    >
      {loaded.state !== "here" ? (
        <Waiting loaded={loaded} again={again} />
      ) : (
        <div class="instrument">
          {loaded.data.unfit ? <p class="warn">{loaded.data.unfit}</p> : null}
          <Facts instrument={loaded.data} />
          {loaded.data.allowed_actions.includes("keep_instruments") ? (
            <ActForms key={changes} account={account} instrument={loaded.data} changed={() => setChanges((n) => n + 1)} />
          ) : null}
          <History instrument={instrument} changes={changes} />
        </div>
      )}
    </PageFrame>
  );
}

function Facts({ instrument: i }: { instrument: Instrument }) {
  const units = useUnits();
  const unit = spanOf(unitOf(i.kind, i.unit, units));
  const lines: [string, string][] = [
    ["What it is", kinds[i.kind].name],
    ["Serial number or mark", i.serial || "none"],
    ["Range", range(i, units)],
    ["Finest division", i.resolution === null ? "not known" : show(i.resolution, unit)],
    ["How far it may be off", accuracy(i, units)],
    ["Calibrated", i.calibrated_on ? dayWords(i.calibrated_on) : "never, as far as the register knows"],
    ["A calibration counts for", i.due_on ? `${i.interval_days} days, this one until ${dayWords(i.due_on)}` : `${i.interval_days} days`],
    ["Note", i.note || "none"],
  ];
  return (
    <section aria-labelledby="facts-title">
      <h2 id="facts-title">What the register says</h2>
      <dl class="facts">
        {lines.map(([name, text]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{text}</dd>
          </div>
        ))}
      </dl>
      <p class="small quiet">
        Last changed by {i.changed_by.name}, {when(i.changed_at)}. What was measured with it keeps what the register said then.
      </p>
      {i.allowed_actions.includes("keep_instruments") && !i.retired ? (
        <Link class="do second off-paper" href={`/group/instruments/${i.id}/change`}>
          Correct it
        </Link>
      ) : null}
    </section>
  );
}

function History({ instrument, changes }: { instrument: number; changes: number }) {
  const fetchPage = (before?: number) =>
    ask(api.GET("/api/v1/instruments/{instrument}/acts", { params: { path: { instrument }, query: { limit: 20, ...(before === undefined ? {} : { before }) } } }));
  return (
    <section aria-labelledby="history-title">
      <h2 id="history-title">History</h2>
      <Pages<Act> key={changes} fetchPage={fetchPage} on={[instrument]} empty="Nothing has been entered yet.">
        {(acts) => (
          <ol class="history">
            {acts.map((a) => (
              <li key={a.id}>
                <span>
                  <b>{words[a.kind](dayWords(a.on))}</b> {a.text}
                </span>
                <span class="small quiet">
                  {a.by.name}, {when(a.at)}
                </span>
              </li>
            ))}
          </ol>
        )}
      </Pages>
    </section>
  );
}

const words: Record<Act["kind"], (day: string) => string> = {
  calibrated: (day) => `Calibrated on ${day}.`,
  found_wrong: (day) => `Found wrong since ${day}.`,
  retired: (day) => `Retired on ${day}.`,
};

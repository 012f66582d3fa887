import { draftForms } from "../../forms/drafts";
import type { Parcel } from "../../outbox/outbox";
import { useUnits } from "../../system";
import type { Instrument } from "../instruments/facts";
import { AddReading, draftId } from "./AddReading";
import type { Measurable, Method, Point, Reading, Run, Worked } from "./fetch";
import { writeBetween } from "./measure";
import { readingsIn, type PointRef, type Sending } from "./parcels";
import { WindowItem } from "../series/WindowItem";
import { Recorded } from "./Recorded";
import { Budget, lacks, sayWorked } from "./Worked";
import { asked, isHeld, sayReason, settingMeans, settingWords, titleOf } from "./words";

/** Which reading is being taken: the name of its point and of what is read. */
export interface Open {
  point: string;
  quantity: string;
}

interface PointProps {
  sending: Sending;
  run: Run;
  point: PointRef;
  /** As the notebook has it; null while only this browser does. */
  kept: Point | null;
  parcels: Parcel[];
  instruments: Instrument[];
  open: Open | null;
  onOpen: (o: Open | null) => void;
  /** Something of it was changed on the server. */
  changed: () => void;
}

/** PointSection is one operating point: what is read of it, and what that comes to. */
export function PointSection(p: PointProps) {
  const { run, point, kept, parcels } = p;
  const units = useUnits();
  const may = run.allowed_actions.includes("record_reading");
  const { quantities, conditions, more } = asked(run.form, point.setting);
  const windows = kept?.windows ?? [];
  const read = new Set([...(kept?.readings ?? []).map((r) => r.quantity), ...windows.flatMap((w) => w.channels.map((c) => c.quantity))]);
  const waiting = new Set(readingsIn(parcels, point));
  const seen = (m: Measurable) => may || read.has(m.name) || waiting.has(m.name);
  const besides = more.filter((m) => read.has(m.name) || waiting.has(m.name) || p.open?.quantity === m.name);
  const seldom = more.filter((m) => !besides.includes(m));
  const derived = (kept?.quantities ?? []).filter((q) => run.form.quantities.some((m) => m.derived && m.name === q.name));
  const id = `point-${point.number ?? "new"}-${point.key ?? ""}`;
  const row = (m: Measurable) => <QuantityRow key={m.name} {...p} of={m} readings={kept?.readings.filter((r) => r.quantity === m.name) ?? []} worked={kept?.quantities.find((q) => q.name === m.name)} waiting={waiting.has(m.name)} may={may} />;
  return (
    <section class="point" aria-labelledby={id}>
      <h3 id={id}>
        {point.number === null ? "" : `${point.number}. `}
        {point.name} {point.name.toLowerCase() === settingWords[point.setting] ? null : <span class="quiet">{settingWords[point.setting]}</span>}
      </h3>
      <p class="small">{point.note || settingMeans[point.setting]}</p>
      {point.number === null ? (
        <p class="note">
          <b>This point is not sent yet.</b> Go on: what is read at it waits with it.
        </p>
      ) : null}
      <ul class="readings" aria-label="What the machine does">
        {[...quantities.filter(seen), ...besides].map(row)}
      </ul>
      {derived.map((q) => (
        <Derived key={q.name} of={q} units={units} />
      ))}
      {conditions.some(seen) ? (
        <>
          <h4>Conditions of the hour</h4>
          <ul class="readings" aria-label="Conditions">
            {conditions.filter(seen).map(row)}
          </ul>
        </>
      ) : null}
      {windows.length > 0 ? (
        <section aria-label="From loggers">
          <h4>From loggers</h4>
          {windows.map((w) => (
            <WindowItem key={w.id} account={p.sending.account} at={p.sending} window={w} mayStrike={run.allowed_actions.includes("strike_reading")} changed={p.changed} />
          ))}
        </section>
      ) : null}
      {may && seldom.length > 0 ? (
        <details class="fold off-paper">
          <summary>Something else was read</summary>
          <ul class="readings">{seldom.map(row)}</ul>
        </details>
      ) : null}
    </section>
  );
}

function Derived({ of: q, units }: { of: Worked; units: ReturnType<typeof useUnits> }) {
  return (
    <details class="fold derived">
      <summary>
        <span>{titleOf(q)}, worked out of these</span> <b class="value">{sayWorked(q, units)}</b>
      </summary>
      <Budget of={q} units={units} />
    </details>
  );
}

interface RowProps extends PointProps {
  of: Measurable;
  readings: Reading[];
  worked: Worked | undefined;
  waiting: boolean;
  may: boolean;
}

/** QuantityRow is one thing that is read at a point: its value, its readings, and the way to another one. */
function QuantityRow(p: RowProps) {
  const { sending, run, point, of: m, readings, worked, waiting, may, open, onOpen } = p;
  const units = useUnits();
  const isOpen = open?.point === point.name && open.quantity === m.name;
  const begun = !isOpen && draftForms(sending.account).includes(draftId(sending, point.name, m.name));
  const before = run.points.flatMap((x) => x.readings).filter((r) => r.quantity === m.name).at(-1);
  const methodOf = (r: Reading) => run.form.methods.find((w: Method) => w.name === r.method)?.about ?? r.method;
  return (
    <li class={isOpen ? "unfolded" : ""}>
      <div class="reading-line">
        <p class="what">
          {titleOf(m)}
          {m.name === "free_air_m3s" ? <span class="small quiet">reckoned as air of the site: at the pressure, warmth and humidity of this hour</span> : null}
          {m.name.startsWith("/") || run.limits[m.name] || asDrawn(point, m) ? <Promise of={m} run={run} /> : null}
        </p>
        <p class="value">
          {worked ? <b>{sayWorked(worked, units)}</b> : <span class="quiet">{readings.length > 0 ? "nothing that counts" : waiting ? "" : "not read yet"}</span>}
          {waiting ? <b class="unsent-mark"> not sent yet</b> : null}
        </p>
        {may && !isOpen ? (
          <button type="button" class={readings.length > 0 || waiting || (m.name.startsWith("/") && !isHeld(m.name)) ? "second" : ""} aria-label={`${begun ? "Go on with" : readings.length > 0 ? "Read again" : "Read"}: ${titleOf(m)} at ${point.name}`} onClick={() => onOpen({ point: point.name, quantity: m.name })}>
            {begun ? "Go on typing" : readings.length > 0 || waiting ? "Again" : "Read"}
          </button>
        ) : null}
      </div>
      {isOpen && may ? (
        <AddReading
          key={`${point.name} ${m.name}`}
          sending={sending}
          point={point}
          of={m}
          methods={run.form.methods}
          instruments={p.instruments}
          before={before}
          certified={run.form.certificate.valid}
          close={() => onOpen(null)}
        />
      ) : null}
      {worked?.warnings.map((w) => (
        <p class="note small" key={w.code}>
          {w.text}
        </p>
      ))}
      {worked && lacks(worked) ? <p class="warn small">{worked.missing.length > 0 ? `Not known: ${worked.missing.join("; ")}.` : sayReason(worked.reason) || "How far it may be off is not known, so it decides nothing."}</p> : null}
      {readings.length > 0 ? (
        <details class="fold readings-fold" open={readings.some((r) => r.strikes.length > 0)}>
          <summary>{readings.length === 1 ? "The reading, and how sure it is" : `${readings.length} readings, and how sure they are`}</summary>
          {readings.map((r) => (
            <Recorded key={r.id} sending={sending} reading={r} method={methodOf(r)} mayStrike={run.allowed_actions.includes("strike_reading")} />
          ))}
        </details>
      ) : null}
    </li>
  );
}

/** asDrawn tells whether the figure of the sheet is one of this point: it was made for the valve as drawn. */
function asDrawn(point: { setting: string }, m: Measurable): boolean {
  return point.setting === "as_drawn" && m.name !== "highest_pressure_pa";
}

/** Promise says what is predicted at the conditions of the sheet, or what the sheet says of a condition. */
function Promise({ of: m, run }: { of: Measurable; run: Run }) {
  const units = useUnits();
  const limits = run.limits[m.name];
  const between = limits ? writeBetween(m, limits.low, limits.high, units) : writeBetween(m, m.low, m.high, units);
  if (between === "") {
    return null;
  }
  return (
    <span class="small quiet">
      {limits ? "declared" : "the sheet says"} {between}
    </span>
  );
}

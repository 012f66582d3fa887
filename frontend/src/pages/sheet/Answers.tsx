import type { Schema } from "../../api/client";
import { Stamp } from "../../parts/Stamp/Stamp";
import type { Basis } from "./basis";
import { Budget } from "./Budget";
import { DepthPart } from "./DepthPart";
import { nameOf } from "./fields";
import { Figures } from "./Figures";
import { MayBuild } from "./MayBuild";
import { Reason } from "./Reason";
import { hasNumbers, type Result } from "./say";
import { Steps } from "./Steps";
import { Unknowns } from "./Unknowns";
import { Window } from "./Window";
import "./answers.css";

const statusWords: Record<Schema<"TrompeStatus">, string> = {
  ok: "works",
  surplus: "works, with fall to spare",
  no_induction: "draws no air",
  no_head: "no fall to use",
  starved: "too little water",
  out_of_range: "outside the model",
  not_carried: "water too slow",
  blocked: "blocked by air",
  cavitation: "vacuum too strong",
  choked: "choked",
  no_operating_point: "no balance found",
};

const evidenceWords: Record<Schema<"Evidence">, string> = {
  A: "A: arithmetic, or measured often",
  B: "B: such machines were built and measured",
  C: "C: proven parts, combined in a new way",
  D: "D: nothing but the model",
};

export interface AnswersProps {
  report: Schema<"Report"> | null;
  /** What the report was made from. */
  basis: Basis;
  /** An older sheet, read beside a page that has other fields: nothing links to them. */
  kept?: boolean;
  /** The elevation of the same input: the curves down the pipe can stand beside it. */
  drawing?: Schema<"Drawing"> | null;
  /** Puts what was proposed into the sheet. */
  onChange?: ((set: Record<string, unknown>) => void) | undefined;
}

/** Answers say what a machine will do, the sentence first. */
export function Answers({ report, basis, kept = false, drawing = null, onChange }: AnswersProps) {
  if (!report) {
    return <p class="quiet">Calculating …</p>;
  }
  if (report.faults) {
    return <Faults faults={report.faults} linked={!kept} />;
  }
  const r = report.trompe;
  return (
    <>
      {r ? <Trompe r={r} basis={basis} kept={kept} drawing={drawing} /> : null}
      {report.steps && report.steps.length > 0 ? (
        <section aria-label="Step by step">
          <h2>{r ? "What comes before and after" : "What it will do"}</h2>
          <Steps steps={report.steps} sentences={report.sentences ?? []} />
        </section>
      ) : null}
      {report.build ? <MayBuild build={report.build} onChange={onChange} /> : null}
      <p class="quiet">
        {r ? `How well this is supported: ${evidenceWords[r.evidence]}. ` : ""}Calculation {report.calc_version}.
      </p>
      <p class="warn">
        <b>Air under pressure in plastic pipe</b> stores energy and throws pieces when it breaks. These are steady pressures: they are no pressure test. Nothing here is a
        permit; local codes and licensed practice go first. The air is not for breathing.
      </p>
    </>
  );
}

interface TrompeProps {
  r: Result;
  basis: Basis;
  kept: boolean;
  drawing: Schema<"Drawing"> | null;
}

/** Trompe is what the trompe of a sheet will do. */
function Trompe({ r, basis, kept, drawing }: TrompeProps) {
  return (
    <>
      <h2>What it will do</h2>
      <p>
        <Stamp word={statusWords[r.status]} danger={r.status !== "ok" && r.status !== "surplus"} />
      </p>
      <p>{r.message}</p>
      <Warnings list={r.warnings} linked={!kept} />
      {hasNumbers(r) ? (
        <>
          <Figures n={r} basis={basis} />
          <Unknowns n={r} basis={basis} />
          <Window n={r} basis={basis} />
          <Budget n={r} basis={basis} />
          <DepthPart n={r} basis={basis} drawing={drawing} />
        </>
      ) : (
        <Reason stopped={r} basis={basis} linked={!kept} />
      )}
    </>
  );
}

function Faults({ faults, linked }: { faults: Schema<"Fault">[]; linked: boolean }) {
  return (
    <>
      <h2>Not a machine yet</h2>
      <p>These need another look before it can be calculated:</p>
      <ul>
        {faults.map((f) => (
          <li key={f.at}>{linked ? <a href={`#${nameOf(f.at.replace("/trompe", ""))}`}>{f.message}</a> : f.message}</li>
        ))}
      </ul>
    </>
  );
}

function Warnings({ list, linked }: { list: Schema<"Warning">[]; linked: boolean }) {
  return (
    <>
      {list.map((w) => (
        <p class={w.code.startsWith("I_") ? "note" : "warn"} key={w.code}>
          {w.message} {w.at && linked ? <a class="off-paper" href={anchorOf(w.at)}>Go there</a> : null}
        </p>
      ))}
    </>
  );
}

const anchorOf = (at: string) => (at.split("/").length > 2 ? `#${nameOf(at)}` : `#part-${at.slice(1)}`);

import type { Schema } from "../../api/client";
import type { Entry } from "../../parts/ErrorSummary/ErrorSummary";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import type { Asked } from "./asked";
import { idOf } from "./form";
import { Result } from "./Result";

/** In words, what the letters of evidence stand for. */
const evidence: Record<Schema<"Evidence">, string> = {
  A: "arithmetic, or measured often",
  B: "such machines were built and measured",
  C: "proven parts, combined in a new way",
  D: "nothing but the model",
};

interface AnswerProps {
  d: Schema<"CalcDescription">;
  asked: Asked;
  /** What the form asks now; null where nothing can be asked. */
  question: string | null;
  /** Something is typed. */
  begun: boolean;
  /** What is lacking or wrong, each leading to its field. */
  lacking: Entry[];
  wrong: Entry[];
}

/** Answer is what came back, marked where the form has gone on since. */
export function Answer({ d, asked, question, begun, lacking, wrong }: AnswerProps) {
  const { answer, of, trouble, again } = asked;
  const stale = answer !== null && of !== question;
  return (
    <section class="answer" aria-labelledby="answer">
      <h2 id="answer">Answer</h2>
      <p role="status" class="quiet">
        {stale ? "Below stands the answer to what was typed before." : begun || answer ? "" : "It comes as you type."}
      </p>
      {trouble && question !== null && stale ? <TroubleNote trouble={trouble} again={again} /> : null}
      {trouble && question !== null && answer === null ? <TroubleNote trouble={trouble} again={again} /> : null}
      <List title="Still wanted:" entries={lacking} />
      <List title="Look again at:" entries={wrong} />
      {answer?.fault && answer.fault.code === "infeasible" && !stale ? (
        <p class="warn">
          <b>It does not work out.</b> {answer.fault.message}
        </p>
      ) : null}
      {answer?.evidence === "D" ? (
        <p class="warn">
          <b>Nobody has measured this.</b> The number rests on a model alone; it may be off by a factor of three.
        </p>
      ) : null}
      {answer?.warnings.map((w) => (
        <p class="warn" key={w.code + (w.at ?? "")}>
          {w.message}
        </p>
      ))}
      {answer?.result && of !== null ? (
        <div class={stale ? "stale" : ""}>
          <Result d={d} result={answer.result} input={JSON.parse(of) as unknown} />
        </div>
      ) : null}
      {answer?.evidence ? <p class="small quiet">How well this is supported: {evidence[answer.evidence]}.</p> : null}
    </section>
  );
}

function List({ title, entries }: { title: string; entries: Entry[] }) {
  if (entries.length === 0) {
    return null;
  }
  return (
    <>
      <p>{title}</p>
      <ul>
        {entries.map((e) => (
          <li key={(e.field ?? "") + e.message}>{e.field ? <FieldLink at={e.field} text={e.message} /> : e.message}</li>
        ))}
      </ul>
    </>
  );
}

function FieldLink({ at, text }: { at: string; text: string }) {
  const go = (e: Event) => {
    e.preventDefault();
    const control = document.getElementById(idOf(at));
    control?.focus();
    control?.scrollIntoView({ block: "center" });
  };
  return (
    <a href={`#${idOf(at)}`} onClick={go}>
      {text}
    </a>
  );
}

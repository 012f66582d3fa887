import { useEffect, useState } from "preact/hooks";
import { api, ask, type Answer, type Schema } from "../../api/client";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { Drawing } from "../../parts/Drawing/Drawing";
import { useUnits } from "../../system";
import type { Build } from "../build/fetch";
import { compareAnswers } from "../compare/answers";
import { AnswerTable } from "../compare/Tables";
import { saySheet } from "../sheet/say";
import "../compare/page.css";
import { differencesOf, sayAt, withDifferences, type ChangeTexts } from "./differences";
import { saySafety } from "./worse";

const pause_ms = 400; // while somebody is typing

/** The answers that a builder asks for first. */
const foremost = new Set(["Free air delivered", "Pressure in the chamber", "Water used", "Fall to spare"]);

/** Effect says what the differences as typed do to the prediction and to what may be built, before anything is saved. */
export function Effect({ build, texts }: { build: Build; texts: ChangeTexts }) {
  const units = useUnits();
  const { differences, faults } = differencesOf(build.may_differ, build.now.input, texts);
  const asked = JSON.stringify(Object.entries(differences).sort());
  const stands = JSON.stringify(Object.entries(build.now.differences).sort());
  const [answer, setAnswer] = useState<{ asked: string; of: Answer<Schema<"Preview">> } | null>(null);
  const same = asked === stands;
  useEffect(() => {
    if (same) {
      return;
    }
    let wanted = true;
    const timer = setTimeout(() => {
      void ask(api.POST("/api/v1/preview", { body: { input: withDifferences(build, differences) } })).then((of) => wanted && setAnswer({ asked, of }));
    }, pause_ms);
    return () => {
      wanted = false;
      clearTimeout(timer);
    };
  }, [asked, same]);
  if (same) {
    return null;
  }
  return (
    <section class="effect compare" aria-label="What the differences do" aria-live="polite">
      <h2>What the differences do</h2>
      {faults.length > 0 ? <p class="quiet">What can’t be read yet is left out.</p> : null}
      {answer === null || answer.asked !== asked ? <p class="quiet">Calculating …</p> : answer.of.ok ? <Outcome build={build} of={answer.of.data} units={units} /> : <TroubleNote trouble={answer.of.trouble} />}
    </section>
  );
}

function Outcome({ build, of, units }: { build: Build; of: Schema<"Preview">; units: ReturnType<typeof useUnits> }) {
  const { report, drawing } = of;
  if (report.faults) {
    return (
      <>
        <p class="warn">It can’t be calculated like this:</p>
        <ul>
          {report.faults.map((f) => (
            <li key={f.at}>
              {sayAt(f.at, build.may_differ, build.now.input)}: {f.message}
            </li>
          ))}
        </ul>
      </>
    );
  }
  const safety = saySafety(build.now.report, report);
  const rows = compareAnswers(build.now.report, report, units);
  const about = saySheet(report, units) ?? "The machine with these differences";
  return (
    <>
      <p>
        <b>{about}</b>
      </p>
      {safety.length > 0 ? (
        <div class="warn">
          <p>
            <b>What may be built becomes another answer.</b> What is worse than the revision that was cleared is refused when you record it.
          </p>
          <ul>
            {safety.map((text) => (
              <li key={text}>{text}</li>
            ))}
          </ul>
        </div>
      ) : (
        <p>Nothing changes in what may be built.</p>
      )}
      <AnswerTable rows={rows.filter((r) => foremost.has(r.words))} left="As it stands" right="With these" />
      <p class="quiet small">While typing the new numbers have no intervals: they come with the record.</p>
      <details>
        <summary>All answers that are compared</summary>
        <AnswerTable rows={rows} left="As it stands" right="With these" />
      </details>
      {drawing ? (
        <details>
          <summary>The drawing with these differences</summary>
          <Drawing drawing={drawing} about={about} height={700} write={units.write} />
        </details>
      ) : null}
    </>
  );
}

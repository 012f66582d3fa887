import { when } from "../../words";
import { linesOf } from "./Fields";
import type { Test, TestField, TestItem } from "./fetch";
import { sayValue } from "./Recorded";
import { sayDistance, sayPressure } from "./Strip";
import { choiceWords, labelOf, pointWords, sayLimits, shortDigest, stagesOf, stageWords, unitOf } from "./words";

/** PaperSheet is the test sheet as it is printed: what is signed already, and lines for the pen. */
export function PaperSheet({ test }: { test: Test }) {
  return (
    <div class="paper-sheet" aria-hidden="true">
      <p>
        {test.title}. Test pressure: {sayPressure(test)}. Keep away: {sayDistance(test, "pressurise")}. Printed {when(new Date().toISOString())}.
      </p>
      <p>
        <b>Signed on paper, this is entered within 24 hours,</b> by the same people, each with their own code, and with a photograph of the paper. An item that comes later is done again. Stop at the first thing that is not as it must be: let the pressure go, and write it down.
      </p>
      {stagesOf(test).map(({ stage, items }) => (
        <section key={stage}>
          <h2>{stageWords[stage] ?? stage}</h2>
          {items.map((i) => (
            <PaperItem key={i.id} test={test} item={i} />
          ))}
        </section>
      ))}
    </div>
  );
}

function PaperItem({ test, item }: { test: Test; item: TestItem }) {
  return (
    <div class="paper-item">
      <p>
        <b>
          {item.id} {item.title}
        </b>{" "}
        ({pointWords[item.point].name.toLowerCase()}{item.after_failure ? ", only after a failure" : ""}). {item.do}
      </p>
      <ul>
        {item.fields.flatMap((f) =>
          f.entries.map((_, i) => (
            <li key={`${f.name}-${i}`}>
              {labelOf(f, i)}: {item.entry ? <b>{sayValue(f, valueOf(item, f, i)) || "recorded"}</b> : <Blank test={test} field={f} entry={i} />}
            </li>
          )),
        )}
      </ul>
      <p class="pen">
        {item.roles.map((role) => {
          const s = item.signed.find((x) => x.role === role);
          return (
            <span key={role}>
              {role}: {s ? <b>{`${s.who.name}, ${when(s.at)}`}</b> : <i class="line">name, time</i>}
            </span>
          );
        })}
      </p>
    </div>
  );
}

function valueOf(item: TestItem, f: TestField, entry: number): unknown {
  const v = item.entry?.values[f.name];
  return f.repeats && Array.isArray(v) ? (v as unknown[])[entry] : f.kind === "photo" ? undefined : v;
}

/** Blank is what the pen fills in: boxes to tick, or a line. */
function Blank({ test, field: f, entry }: { test: Test; field: TestField; entry: number }) {
  if (f.kind === "photo") {
    return <>take it with a phone</>;
  }
  if (f.ticks !== null) {
    const lines = f.name === "all_lines_ticked" ? linesOf(test) : [];
    return <>{Array.from({ length: f.ticks }, (_, i) => `▢ ${lines[i] ?? i + 1}`).join("  ")}</>;
  }
  if (f.confirm !== null) {
    return <>▢ {shortDigest(choiceWords(String(f.confirm)))}</>;
  }
  if (f.kind === "confirm") {
    return <>▢</>;
  }
  if (f.kind === "choice") {
    return <>{f.values.map((v) => `▢ ${choiceWords(v)}`).join("  ")}</>;
  }
  return (
    <>
      <i class="line short" /> {unitOf(f.unit).name} <span>{f.kind === "reading" ? sayLimits(f, entry) : ""}</span>
    </>
  );
}

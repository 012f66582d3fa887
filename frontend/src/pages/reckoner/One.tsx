import { useEffect, useMemo, useState } from "preact/hooks";
import { useLocation, useSearch } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import type { Entry } from "../../parts/ErrorSummary/ErrorSummary";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";
import { useUnits } from "../../system";
import { Answer } from "./Answer";
import { useAnswer, useSettled, type Asked } from "./asked";
import { Fields } from "./Fields";
import { controlOf, inputOf, labelOf, sentence, textsOf, type Texts } from "./form";
import "../sheet/answers.css";
import "./page.css";

type Description = Schema<"CalcDescription">;

const trail = [{ href: "/reckoner", name: "Reckoner" }];

/** CalculationPage asks one calculation, made from what it says about itself. */
export default function CalculationPage({ family, name }: { family: string; name: string }) {
  const { loaded, again } = useLoad<Description>(() => ask(api.GET("/api/v1/calc/{family}/{name}", { params: { path: { family, name } } })), [family, name]);
  if (loaded.state !== "here") {
    return (
      <PageFrame title="Ready reckoner" trail={trail}>
        <Waiting loaded={loaded} again={again} />
      </PageFrame>
    );
  }
  const d = loaded.data;
  return (
    <PageFrame title={sentence(d.answers)} trail={trail} wide>
      <Sheet d={d} />
      <About d={d} />
    </PageFrame>
  );
}

/** Sheet is the form beside its answer. */
function Sheet({ d }: { d: Description }) {
  const units = useUnits();
  const query = useSearch();
  const [texts, setTexts] = useState<Texts>(() => textsOf(d.inputs, inputIn(query), units));
  const [before, setBefore] = useState<Texts | null>(null);
  const settled = useSettled(texts);
  const { input, faults } = useMemo(() => inputOf(d.inputs, settled, units), [settled, units, d]);
  const begun = Object.keys(input).length > 0 || faults.length > 0;
  const question = begun && faults.length === 0 ? JSON.stringify(input) : null;
  const asked = useAnswer(d.name, question);
  useAddress(d.name, input);
  const { lacking, wrong } = sorted(d, asked, question);
  const all = [...faults, ...wrong];
  return (
    <div class="reckon">
      <form class="stack" noValidate onSubmit={(e) => e.preventDefault()} aria-label="What is given">
        <Fields
          of=""
          all={d.inputs}
          texts={texts}
          units={units}
          set={(at, text) => setTexts((was) => ({ ...was, [at]: text }))}
          fault={(at) => all.find((e) => e.field === at)?.message}
        />
        <div class="row">
          {d.example ? (
            <button
              type="button"
              class="second"
              onClick={() => {
                setBefore(texts);
                setTexts(textsOf(d.inputs, d.example, units));
              }}
            >
              Fill in an example
            </button>
          ) : null}
          {before ? (
            <button
              type="button"
              class="plain"
              onClick={() => {
                setTexts(before);
                setBefore(null);
              }}
            >
              Put back what stood there
            </button>
          ) : null}
        </div>
        <p class="small quiet off-paper">The address of this page keeps what you typed. Send it to somebody, and they see the same.</p>
      </form>
      <Answer d={d} asked={asked} question={question} begun={begun} lacking={lacking} wrong={wrong} />
    </div>
  );
}

/** sorted parts the faults of the answer: what is only not typed yet is no mistake. */
function sorted(d: Description, { answer, of }: Asked, question: string | null): { lacking: Entry[]; wrong: Entry[] } {
  const faults = answer?.fault && of === question ? (answer.faults ?? [answer.fault]).filter((f) => f.code !== "infeasible") : [];
  const lacking = faults.filter((f) => f.code === "missing").map((f) => ({ field: f.at, message: nameOf(d, f.at) ?? f.message }));
  const wrong = faults
    .filter((f) => f.code !== "missing")
    .map((f) => {
      const { at, place } = controlOf(d.inputs, f.at);
      return at === "" ? { message: f.message } : { field: at, message: place + f.message };
    });
  return { lacking, wrong };
}

/** nameOf is the label of the field at a pointer, in lists of objects too. */
function nameOf(d: Description, at: string): string | undefined {
  const own = d.inputs.find((x) => x.at === at);
  if (own) {
    return labelOf(own).label;
  }
  const [, list, i, rest] = /^(\/.+?)\/(\d+)(\/.+)$/.exec(at) ?? [];
  const item = d.inputs.find((x) => x.at === list)?.item?.find((x) => x.at === rest);
  return item && `${labelOf(item).label}, ${Number(i) + 1}`;
}

const most = 1800; // characters that every mail program and chat leaves whole

/** useAddress keeps what is asked in the address, in SI units, so that it can be sent and comes back on a reload. */
function useAddress(name: string, input: object) {
  const [, go] = useLocation();
  const text = JSON.stringify(input);
  useEffect(() => {
    const query = text === "{}" || text.length > most ? "" : `?${new URLSearchParams({ in: text }).toString()}`;
    if (query !== window.location.search) {
      go(`/reckoner/${name}${query}`, { replace: true });
    }
  }, [name, text]);
}

/** inputIn reads what an address asks; a broken one asks nothing. */
function inputIn(query: string): unknown {
  try {
    return JSON.parse(new URLSearchParams(query).get("in") ?? "{}");
  } catch {
    return {};
  }
}

/** About is what a calculation says about itself. */
function About({ d }: { d: Description }) {
  return (
    <section class="about">
      <h2>Equation</h2>
      <p class="equation">{d.equation}</p>
      <h2>Where it holds</h2>
      <p>{sentence(d.validity)}</p>
      <h2>Sources</h2>
      <ul>
        {d.sources.map((s) => (
          <li key={s}>{sentence(s)}</li>
        ))}
      </ul>
    </section>
  );
}

import { useEffect, useState } from "preact/hooks";
import { api, ask, type Schema } from "../../api/client";
import { useUnits } from "../../system";
import { numberAt } from "./basis";
import type { CalcField } from "./fields";
import { writeQuantity } from "./quantity";
import { PinMark, pinId, PinPlace } from "./pins";
import { Sentences } from "./Sentences";

type Step = Schema<"SheetStep">;
type Description = Schema<"CalcDescription">;

const told = new Map<string, Promise<Description | null>>();

/** useDescription asks once what a calculation says about itself. */
export function useDescription(name: string): Description | null {
  const [d, setD] = useState<Description | null>(null);
  useEffect(() => {
    let here = true;
    const [family = "", rest = ""] = name.split("/");
    const asked = told.get(name) ?? ask(api.GET("/api/v1/calc/{family}/{name}", { params: { path: { family, name: rest } } })).then((a) => (a.ok ? a.data : null));
    told.set(name, asked);
    void asked.then((found) => {
      if (found === null) {
        told.delete(name); // asked again the next time
      }
      if (here) {
        setD(found);
      }
    });
    return () => {
      here = false;
    };
  }, [name]);
  return d;
}

/** Steps are all calculations of a sheet beside the trompe, in the order of the water. */
export function Steps({ steps, sentences }: { steps: Step[]; sentences: Schema<"SheetSentence">[] }) {
  const apart = sentences.filter((s) => !steps.some((step) => step.at === s.at));
  return (
    <>
      <Sentences list={apart} />
      {steps.map((s) => {
        const pin = { kind: "result", at: s.at, name: s.title } as const;
        return (
          <section key={s.at} id={pinId(pin)} aria-label={s.title} class="step">
            <h3>
              {s.title} <PinMark pin={pin} />
            </h3>
            <OneStep step={s} />
            <PinPlace pin={pin} />
            <Sentences list={sentences.filter((x) => x.at === s.at)} />
          </section>
        );
      })}
    </>
  );
}

function OneStep({ step }: { step: Step }) {
  const { answer } = step;
  if (!answer) {
    return <p class="quiet">{step.lacks}</p>;
  }
  return (
    <>
      {answer.fault ? (
        <p class="warn">
          <b>It does not work out.</b> {answer.fault.message}
        </p>
      ) : null}
      {answer.evidence === "D" ? (
        <p class="warn">
          <b>Nobody has measured this.</b> The number rests on a model alone; it may be off by a factor of three.
        </p>
      ) : null}
      {answer.warnings.map((w) => (
        <p class="warn" key={w.code + (w.at ?? "")}>
          {w.message}
        </p>
      ))}
      {answer.result ? <Results calc={step.calc} result={answer.result} input={step.input} fed={step.fed ?? {}} /> : null}
    </>
  );
}

interface ResultsProps {
  calc: string;
  result: Record<string, unknown>;
  input: Record<string, unknown>;
  fed?: Record<string, string>;
}

/** The same number in another unit is left out where the sheet writes the unit itself. */
const twice = new Set(["L/s", "L/min", "m³/h", "ft³/min", "Wh", "min"]);

/** Of calculations with many outputs: what a builder asks first. The others are folded away. */
const first: Record<string, string[]> = {
  "system/ram_cycle": ["/q", "/Q_waste", "/bpm", "/eta_rankine", "/p_max_gauge", "/p_worst_gauge", "/p_test_gauge", "/airvessel_air_min"],
  "system/boost_pulse": ["/free_air_Lmin", "/p2", "/p_deadend", "/p_joukowsky", "/stroke_best", "/bpm", "/eff_boost"],
  "system/boost_lift": ["/q", "/p2_gauge", "/Q_free_m3s", "/P_water_W", "/P_air_W", "/P_air_direct_W"],
  "system/exergy_tank": ["/E_iso_J", "/E_adiab_J", "/free_air_m3", "/free_air_between_m3", "/E_regulated_Wh"],
  "system/roof_energy": ["/V_year_m3", "/E_year_J", "/P_mean_W", "/E_storm_J"],
};

/** Results are the outputs of a named calculation; each opens to say where it comes from. */
export function Results({ calc, result, input, fed = {} }: ResultsProps) {
  const d = useDescription(calc);
  if (!d) {
    return <p class="quiet">Fetching …</p>;
  }
  const units = d.outputs.map((f) => f.unit);
  const shown = d.outputs.filter((f) => f.kind === "number" && numberAt(result, f.at) !== null && !(twice.has(f.unit ?? "") && units.some((u) => u === "m³/s" || u === "J" || u === "s")));
  const asked = shown.filter((f) => first[calc]?.includes(f.at) ?? true);
  const others = shown.filter((f) => !asked.includes(f));
  const row = (f: CalcField) => <Row key={f.at} f={f} d={d} result={result} input={input} fed={fed} />;
  return (
    <>
      <ul class="numbers">{asked.map(row)}</ul>
      {others.length > 0 ? (
        <details class="off-paper">
          <summary>All other numbers</summary>
          <ul class="numbers">{others.map(row)}</ul>
        </details>
      ) : null}
    </>
  );
}

function Row({ f, d, result, input, fed }: { f: CalcField; d: Description; result: Record<string, unknown>; input: Record<string, unknown>; fed: Record<string, string> }) {
  const units = useUnits();
  const [open, setOpen] = useState(false);
  return (
    <li>
      <details onToggle={(e) => setOpen(e.currentTarget.open)}>
        <summary>
          <span class="quiet">{f.about}</span>{" "}
          <span class="value">
            <b>{writeQuantity(numberAt(result, f.at) ?? 0, f.unit ?? "", f.at, units)}</b>
          </span>
        </summary>
        {open ? <Whence f={f} d={d} result={result} input={input} fed={fed} /> : null}
      </details>
    </li>
  );
}

/** Whence says where one output comes from. */
function Whence({ f, d, result, input, fed }: { f: CalcField; d: Description; result: Record<string, unknown>; input: Record<string, unknown>; fed: Record<string, string> }) {
  const units = useUnits();
  const entries = (f.from ?? []).flatMap((at): [string, string][] => {
    const output = d.outputs.find((o) => o.at === at);
    const given = d.inputs.find((i) => i.at === at);
    const value = numberAt(result, at) ?? numberAt(input, at);
    const of = output ?? given;
    if (!of || value === null) {
      return given?.default ? [[given.about, `${given.default}, as nothing else was said`]] : [];
    }
    const from = fed[at.slice(1)];
    return [[of.about, writeQuantity(value, of.unit ?? "", at, units) + (from ? `: ${from}` : "")]];
  });
  return (
    <div class="origin">
      <p>
        <span class="quiet">Symbol</span> {f.at.slice(1)}
      </p>
      <p>
        <span class="quiet">Equation</span> <span class="equation">{f.equation}</span>
      </p>
      <p>
        <span class="quiet">Source</span> {f.source}
      </p>
      {entries.length > 0 ? (
        <dl class="answers">
          {entries.map(([name, text]) => (
            <div key={name}>
              <dt>{name}</dt>
              <dd>{text}</dd>
            </div>
          ))}
        </dl>
      ) : null}
      <p class="small quiet">{d.validity}</p>
    </div>
  );
}

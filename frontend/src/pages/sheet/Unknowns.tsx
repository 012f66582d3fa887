import { useState } from "preact/hooks";
import { fieldAt, type Basis } from "./basis";
import { uncertaintyOf, type Uncertainty } from "./interval";
import { useUnits } from "../../system";
import type { Numbers } from "./say";
import { lesser, ranked } from "./unknowns";

interface UnknownsProps {
  n: Numbers;
  basis: Basis;
}

/** Unknowns say how far the numbers may be off, and what makes most of it. */
export function Unknowns({ n, basis }: UnknownsProps) {
  const u = uncertaintyOf(n);
  if (!u) {
    return <p class="small quiet off-paper">Intervals come with the save: until then each number stands alone.</p>;
  }
  return (
    <section aria-label="How far the numbers may be off">
      <h3>How far the numbers may be off</h3>
      <p>
        {u.status === "ok"
          ? "“±”, or “from … to …”, holds the true value in 95 of 100 such machines, if the coefficients are as uncertain as set "
          : "The coefficients were drawn from what is known of them, set "}
        {u.set} says and the sizes as you gave them. Each save draws {u.draws} such machines.
      </p>
      <Failed u={u} />
      {u.ranking.length > 0 ? <Ranking n={n} basis={basis} u={u} /> : null}
      <p class="small quiet">
        Seed {u.seed.slice(0, 8)} …: the same sheet gives the same draws.
      </p>
    </section>
  );
}

/** failedSentence says what the draws without an operating point mean; null when there are none. */
export function failedSentence(u: Uncertainty): string | null {
  if (u.status === "no_valid_trial") {
    return `In none of ${u.draws} draws does the machine start: there is no interval. It works only if everything is just as assumed.`;
  }
  if (u.status === "too_many_failed") {
    return `In ${u.failed} of ${u.draws} draws the machine does not start. That is too many for an interval: this machine stands at the edge of not working. Give it more fall, more water or a narrower downcomer.`;
  }
  return u.failed > 0 ? `In ${u.failed} of ${u.draws} draws the machine does not start.` : null;
}

function Failed({ u }: { u: Uncertainty }) {
  const text = failedSentence(u);
  return text ? <p class={u.status !== "ok" || u.failed > 0.01 * u.draws ? "warn" : ""}>{text}</p> : null;
}

function Ranking({ n, basis, u }: UnknownsProps & { u: Uncertainty }) {
  const outputs = [...new Set(u.ranking.map((s) => s.output))];
  const [chosen, setChosen] = useState("free_air_delivered_m3s");
  const output = outputs.includes(chosen) ? chosen : (outputs[0] ?? "");
  const units = useUnits();
  const list = ranked(basis, n, u, output, units);
  const rest = lesser(basis, u, output);
  return (
    <>
      <label class="off-paper">
        Which unknown matters most for
        <select value={output} onChange={(e) => setChosen(e.currentTarget.value)}>
          {outputs.map((o) => (
            <option key={o} value={o}>
              {fieldAt(basis.outputs, `/${o}`)?.about ?? o}
            </option>
          ))}
        </select>
      </label>
      <p class="only-paper">What matters most for: {fieldAt(basis.outputs, `/${output}`)?.about ?? output}</p>
      {list.length === 0 ? <p>Nothing spreads this number by much.</p> : null}
      <ol class="ranking">
        {list.map((s) => (
          <li key={s.at}>
            <p>{s.sentence}</p>
            <details class="off-paper">
              <summary>How to measure it</summary>
              <p>{s.how}</p>
            </details>
          </li>
        ))}
      </ol>
      {list.some((s) => s.rough) ? <p class="small quiet">“Roughly”: this number does not follow its unknowns in straight lines, so the shares are estimates and need not add up.</p> : null}
      {rest.length > 0 ? <p class="small">Less: {rest.join(", ")}.</p> : null}
    </>
  );
}

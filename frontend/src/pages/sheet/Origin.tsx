import { useState } from "preact/hooks";
import { coefficientsIn, fieldAt, givenIn, numberAt, unitsFor, useOf, type Basis } from "./basis";
import type { CalcField } from "./fields";
import { useUnits, type Units } from "../../system";
import type { Numbers } from "./say";

interface OriginProps {
  of: CalcField;
  basis: Basis;
  n: Numbers;
}

/** Origin says where a number comes from: its equation, what stands in it, and the source. */
export function Origin({ of, basis, n }: OriginProps) {
  const from = of.from ?? [];
  const units = useUnits();
  const coefficients = coefficientsIn(basis, from, units);
  return (
    <div class="origin">
      <p>{sentence(of.about)}</p>
      <p>
        <span class="quiet">Equation</span> <span class="equation">{of.equation}</span>
      </p>
      <p>
        <span class="quiet">Source</span> {of.source}
      </p>
      <Entries title="Numbers in it" list={resultsIn(basis, n, from, units)} />
      <Entries title="Inputs in it" list={givenIn(basis, from, units).map((g) => [g.label, g.text])} />
      <Entries title="Coefficients in it, best value ± standard uncertainty" list={coefficients.map((c) => [`${c.name}: ${c.about}`, c.text])} />
    </div>
  );
}

const sentence = (about: string) => `${about.charAt(0).toUpperCase()}${about.slice(1)}.`;

function resultsIn(basis: Basis, n: Numbers, from: string[], units: Units): [string, string][] {
  return from.flatMap((at) => {
    const f = fieldAt(basis.outputs, at);
    if (!f || f.kind === "text") {
      return [];
    }
    const value = numberAt(n, at);
    return [[f.about, f.kind === "list" ? "see there" : value === null ? "none" : unitsFor(f, units).write(value, useOf(f))]];
  });
}

function Entries({ title, list }: { title: string; list: [string, string][] }) {
  return list.length === 0 ? null : (
    <>
      <p class="quiet">{title}</p>
      <dl class="answers">
        {list.map(([name, text]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{text}</dd>
          </div>
        ))}
      </dl>
    </>
  );
}

/** Origins folds away where the numbers of a table or a picture come from. */
export function Origins({ title, list, basis, n }: { title: string; list: { f: CalcField; name: string }[]; basis: Basis; n: Numbers }) {
  const [open, setOpen] = useState(false);
  return (
    <details class="off-paper" onToggle={(e) => setOpen(e.currentTarget.open)}>
      <summary>{title}</summary>
      {open
        ? list.map(({ f, name }) => (
            <section key={f.at} aria-label={name}>
              <h4>{name}</h4>
              <Origin of={f} basis={basis} n={n} />
            </section>
          ))
        : null}
    </details>
  );
}

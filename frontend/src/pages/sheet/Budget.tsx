import { useId } from "preact/hooks";
import type { Schema } from "../../api/client";
import { useUnits } from "../../system";
import { fieldAt, type Basis } from "./basis";
import { columnOf, type Piece } from "./budget";
import { Value } from "./Figures";
import { Hatches, hatchOf } from "./Hatches";
import { uncertaintyOf } from "./interval";
import { Origins } from "./Origin";
import type { Numbers } from "./say";

/** The terms of the budget in the order of the water: in a builder's words, and in few for the picture. */
const terms: [keyof Schema<"Budget">, string, string][] = [
  ["supply_line", "supply line", "supply line"],
  ["intake_contraction", "squeezing between the air tubes", "squeezing"],
  ["surplus_fall", "surplus fall, wasted", "wasted"],
  ["mixing", "mixing of water and air", "mixing"],
  ["air_intake", "drawing air through the tubes", "drawing air"],
  ["slip", "bubbles rising against the water", "bubbles rising"],
  ["downcomer_friction", "friction in the downcomer", "friction"],
  ["acceleration", "speeding up", "speeding up"],
  ["downcomer_exit", "leaving the downcomer", "leaving the pipe"],
  ["fall_in_chamber", "fall inside the chamber", "chamber fall"],
  ["bubble_rise_in_chamber", "bubbles rising in the chamber", "chamber bubbles"],
  ["dissolved_air", "air gone into the water", "dissolved air"],
  ["carry_over", "air carried up the riser", "carried away"],
  ["blow_off", "air blown off", "blown off"],
  ["riser", "riser", "riser"],
  ["air_weight", "weight of the air", "air’s weight"],
  ["compression_delivered", "compressing the air you get", "your air"],
];

interface BudgetProps {
  n: Numbers;
  basis: Basis;
}

/** Budget shows where the fall goes: as a column in metres of fall, and as a table. */
export function Budget({ n, basis }: BudgetProps) {
  const t = n.budget_head_m;
  const shown = terms.filter(([name]) => Math.abs(t[name]) >= 0.0005 * Math.max(n.head_m, 0.1));
  const fields = shown.flatMap(([name, words]) => {
    const f = fieldAt(basis.outputs, `/budget_head_m/${name}`);
    return f ? [{ f, words, name }] : [];
  });
  const back = fields.filter(({ name }) => t[name] < -0.002 * n.head_m);
  return (
    <section aria-label="Where the fall goes">
      <h3>Where the fall goes</h3>
      <Column n={n} pieces={shown.map(([id, , words]) => ({ id, words, m: t[id] }))} />
      {back.length > 0 ? (
        <p class="small">
          Above the headwater line stands what {back.map(({ words }) => words).join(" and ")} {back.length > 1 ? "give" : "gives"} back: the other parts take that too.
        </p>
      ) : null}
      <table class="budget">
        <caption>The same as a table{uncertaintyOf(n) ? ", with intervals of 95\u202F%" : ""}</caption>
        <thead>
          <tr>
            <th scope="col">Part</th>
            <th scope="col">Fall it takes</th>
          </tr>
        </thead>
        <tbody>
          {fields.map(({ f, words, name }) => (
            <tr key={name} class={name === "compression_delivered" ? "gain" : undefined}>
              <th scope="row">{words}</th>
              <td>
                <Value f={f} n={n} fine />
              </td>
            </tr>
          ))}
        </tbody>
        <tfoot>
          <tr>
            <th scope="row">together</th>
            <td>{useUnits().write(n.head_m, "level")}</td>
          </tr>
        </tfoot>
      </table>
      <Origins title="Where each part comes from" list={fields.map(({ f, words }) => ({ f, name: words }))} basis={basis} n={n} />
    </section>
  );
}

const size = { width: 280, height: 360, left: 4, bar: 64 };
const margin = 34; // px above and below the column, for the levels' texts

function Column({ n, pieces }: { n: Numbers; pieces: Piece[] }) {
  const id = useId().replaceAll(":", "");
  const units = useUnits();
  const c = columnOf(pieces, size.height - 2 * margin);
  const right = size.left + size.bar;
  const head = units.write(n.head_m, "level");
  const spoken = c.parts.map((p) => `${p.words} ${units.write(p.m, "level")}`).join(", ");
  return (
    <svg class="chart" viewBox={`0 0 ${size.width} ${size.height}`} width={size.width} height={size.height} role="img" aria-label={`A column of ${head} of fall, from the top: ${spoken}.`}>
      <Hatches id={id} />
      <g transform={`translate(0 ${margin})`}>
        {c.parts.map((p) => (
          <g key={p.id}>
            <rect class="ground" x={size.left} y={p.y} width={size.bar} height={p.height} />
            <rect class="piece" x={size.left} y={p.y} width={size.bar} height={p.height} fill={hatchOf(p.id, id)} />
            <path class="leader" d={`M${right} ${p.y + p.height / 2}L${right + 16} ${p.at}h5`} />
            <text class={p.id === "compression_delivered" ? "strong" : undefined} x={right + 26} y={p.at + 5}>
              {p.words} {units.write(p.m, "level")}
            </text>
          </g>
        ))}
        <LevelMark y={c.headwater} />
        <LevelMark y={c.height} />
      </g>
      <text x={size.left} y={16}>
        headwater, {head} of fall
      </text>
      <text x={size.left} y={size.height - 8}>
        outlet
      </text>
    </svg>
  );
}

function LevelMark({ y }: { y: number }) {
  return <path class="level" d={`M0 ${y}h${size.left + size.bar + 8}`} />;
}

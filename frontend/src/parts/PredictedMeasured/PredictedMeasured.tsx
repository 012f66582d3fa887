import { useMemo, useRef } from "preact/hooks";
import { finest, withEnds } from "../../places";
import type { Unit } from "../../units";
import { Ledger } from "../Ledger/Ledger";
import { Sample } from "../Plot/Key";
import { textMeasure, usePrinting, useWidth } from "../Plot/measure";
import { layOut, type Cross, type Layout } from "./layout";
import "../Plot/plot.css";
import "./predictedmeasured.css";

/** A value with its 95 % interval, in the base unit. */
export interface Ranged {
  value: number;
  low: number;
  high: number;
}

/** A measured build: what was predicted for it, and what was found. */
export interface Pair {
  id: string;
  /** The tag number of the build. */
  tag: string;
  /** What else to call it in the table. */
  title?: string;
  href?: string;
  predicted: Ranged;
  measured: Ranged;
  counts: "counted" | "set aside" | "not counted";
  /** Why it does not count. */
  because?: string;
}

/** The picture takes half of a sheet across, beside the words on it. */
const paperWidth = 360; // px

interface PredictedMeasuredProps {
  /** The quantity: "Free air delivered". */
  name: string;
  /** The unit it is written in, from useUnits().shown of the greatest value. */
  unit: Unit;
  pairs: readonly Pair[];
}

/** PredictedMeasured draws what was measured against what was predicted, build by build; PairsTable has the same numbers. */
export function PredictedMeasured({ name, unit, pairs }: PredictedMeasuredProps) {
  const box = useRef<HTMLElement>(null);
  const width = useWidth(box, paperWidth);
  const l = useMemo(() => (width > 0 && pairs.length > 0 ? layOut(pairs, unit, width, textMeasure(16)) : null), [pairs, unit, width]);
  return (
    <figure class="plot pairs" aria-label={`${name}, predicted and measured`} ref={box}>
      <figcaption>
        {name}
        {unit.name ? `, ${unit.name}` : ""}
      </figcaption>
      <p>{countText(pairs)}</p>
      {l ? <Picture l={l} name={name} /> : null}
      {l ? <PairsKey pairs={pairs} /> : null}
      {l ? <Notes l={l} /> : null}
    </figure>
  );
}

/** countText says how many count and how many do not: that a miss was thrown away must be seen. */
export function countText(pairs: readonly Pair[]): string {
  const n = (counts: Pair["counts"]) => pairs.filter((p) => p.counts === counts).length;
  return pairs.length === 0 ? "Nothing has been measured against a prediction yet." : `${n("counted")} counted, ${n("set aside")} set aside, ${n("not counted")} not counted.`;
}

function Picture({ l, name }: { l: Layout; name: string }) {
  return (
    <svg width={l.width} height={l.height} viewBox={`0 0 ${l.width} ${l.height}`} role="img" aria-label={`${name}: measured against predicted. The table of machines has the same numbers.`}>
      <Axes l={l} />
      {l.crosses.map((c) => (
        <Mark key={c.pair.id} cross={c} />
      ))}
      {l.labels.map(({ id, box, leader }) => (
        <g key={id}>
          {leader ? <path class="leader" d={`M${leader[0].x} ${leader[0].y}L${leader[1].x} ${leader[1].y}`} /> : null}
          <rect class="under" x={box.x} y={box.y} width={box.width} height={box.height} />
          <text x={box.x + box.width / 2} y={box.y + 15} text-anchor="middle">
            {l.crosses.find((c) => c.pair.id === id)?.pair.tag}
          </text>
        </g>
      ))}
    </svg>
  );
}

function Axes({ l }: { l: Layout }) {
  const { frame: f } = l;
  const bottom = f.y + f.height;
  const end = f.x + f.width;
  return (
    <>
      <path class="grid" d={l.up.map((t) => `M${f.x} ${l.to(t.at).y}H${end}`).join("") + l.across.map((t) => `M${l.to(t.at).x} ${f.y}V${bottom}`).join("")} />
      <path class="even" d={`M${f.x} ${bottom}L${end} ${f.y}`} />
      <rect class="frame" x={f.x} y={f.y} width={f.width} height={f.height} />
      {l.up.map((t) => (
        <text key={t.at} x={f.x - 8} y={Math.min(l.to(t.at).y + 5, bottom)} text-anchor="end">
          {t.text}
        </text>
      ))}
      {l.across.map((t) => (
        <text key={t.at} x={l.to(t.at).x} y={bottom + 22} text-anchor="middle">
          {t.text}
        </text>
      ))}
      <text x={0} y={16}>
        measured
      </text>
      <text x={end} y={16} text-anchor="end">
        1:1
      </text>
      <text x={end} y={bottom + 46} text-anchor="end">
        predicted
      </text>
    </>
  );
}

const radius = 5;

function Mark({ cross: { pair, at, arms } }: { cross: Cross }) {
  const counts = pair.counts === "counted";
  return (
    <g>
      <path class={counts ? "arm" : "arm idle"} d={arms.map(([a, b]) => `M${a.x} ${a.y}L${b.x} ${b.y}`).join("")} />
      <circle class={counts ? "dot" : "ring"} cx={at.x} cy={at.y} r={radius} />
      {pair.counts === "set aside" ? <path class="struck" d={`M${at.x - radius} ${at.y + radius}l${2 * radius} ${-2 * radius}`} /> : null}
    </g>
  );
}

function PairsKey({ pairs }: { pairs: readonly Pair[] }) {
  const has = (counts: Pair["counts"]) => pairs.some((p) => p.counts === counts);
  return (
    <ul class="plot-key">
      {has("counted") ? (
        <Sample says="counted">
          <path class="arm" d="M5 10H31M18 0V20" />
          <circle class="dot" cx={18} cy={10} r={radius} />
        </Sample>
      ) : null}
      {has("set aside") ? (
        <Sample says="set aside">
          <circle class="ring" cx={18} cy={10} r={radius} />
          <path class="struck" d="M13 15l10 -10" />
        </Sample>
      ) : null}
      {has("not counted") ? (
        <Sample says="not counted">
          <circle class="ring" cx={18} cy={10} r={radius} />
        </Sample>
      ) : null}
      <Sample says="as predicted, 1:1">
        <path class="even" d="M0 18L36 2" />
      </Sample>
    </ul>
  );
}

function Notes({ l }: { l: Layout }) {
  const said = [
    `The arms are the intervals of 95\u202F%.`,
    l.axis.log ? "Both axes go by powers of ten: equal ways are equal ratios." : "",
    l.left.length > 0 ? `${l.left.length} ${l.left.length === 1 ? "tag" : "tags"} left out for want of room; the table has them all.` : "",
  ];
  return <p class="small quiet">{said.filter(Boolean).join(" ")}</p>;
}

/** PairsTable has the numbers of the picture, build by build: folded on a screen, in full on paper. */
export function PairsTable({ pairs, unit }: Pick<PredictedMeasuredProps, "pairs" | "unit">) {
  const printing = usePrinting(true);
  const number = (r: Ranged) => withEnds(r.value, r, unit, finest);
  return (
    <details class="fold pairs-table" open={printing}>
      <summary>The same values as a table</summary>
      <Ledger>
        <table>
          <thead>
            <tr>
              <th scope="col">Machine</th>
              <th scope="col">Predicted</th>
              <th scope="col">Measured</th>
              <th scope="col">Counts</th>
            </tr>
          </thead>
          <tbody>
            {pairs.map((p) => (
              <tr key={p.id}>
                <th scope="row">
                  {p.href ? <a href={p.href}>{p.tag}</a> : p.tag}
                  {p.title ? ` ${p.title}` : ""}
                </th>
                <td data-of="Predicted">{number(p.predicted)}</td>
                <td data-of="Measured">{number(p.measured)}</td>
                <td data-of="Counts">
                  {p.counts}
                  {p.because ? `: ${p.because}` : ""}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </Ledger>
    </details>
  );
}

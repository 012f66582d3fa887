import type { ComponentChildren } from "preact";
import { useId, useRef } from "preact/hooks";
import type { Unit } from "../../units";
import { Diagonals, Sample } from "../Plot/Key";
import { paperWidth, textMeasure, useWidth } from "../Plot/measure";
import { Stamp } from "../Stamp/Stamp";
import { acrossOf, groupsOf, within, type Across, type Group } from "./layout";
import { measuredText, promisedText, rowText, stamped } from "./words";
import "../Plot/plot.css";
import "./confronted.css";

export type Outcome = "met" | "missed_high" | "missed_low" | "undecided";

/** One quantity of a run against what was promised; values in the base unit. */
export interface Confrontation {
  id: string;
  /** Rows with the same quantity and unit share an axis: "Free air delivered". */
  quantity: string;
  /** Which of the rows it is, where there are several: "valve half open". */
  name?: string;
  unit: Unit;
  /** The promised interval; null where an end, or the whole, was not promised. */
  promised: { low: number | null; high: number | null } | null;
  /** The middle of the prediction. */
  predicted: number | null;
  /** With its 95 % interval. */
  measured: { value: number; low: number; high: number } | null;
  outcome: Outcome;
  /** The promise was so wide that to meet it says little. */
  promisedLittle?: boolean;
  /** Why, or what would decide it: sentences, or paragraphs of their own. */
  because?: ComponentChildren;
}

/** Confronted lays what was measured over what was promised, quantity by quantity, with the outcome in a stamp. */
export function Confronted({ rows }: { rows: readonly Confrontation[] }) {
  const box = useRef<HTMLDivElement>(null);
  const width = useWidth(box, paperWidth);
  return (
    <div class="confronted" ref={box}>
      {groupsOf(rows).map((g) => (
        <Quantity key={`${g.quantity} ${g.unit.name}`} group={g} width={width} />
      ))}
      {rows.length > 0 ? <ConfrontedKey /> : null}
    </div>
  );
}

function Quantity({ group, width }: { group: Group; width: number }) {
  const measure = textMeasure(16);
  const across = width > 0 ? acrossOf(group, width, measure) : null;
  return (
    <figure class="plot" aria-label={group.quantity}>
      <figcaption>
        {group.quantity}
        {group.unit.name ? `, ${group.unit.name}` : ""}
      </figcaption>
      <ul>
        {group.rows.map((row) => (
          <li key={row.id}>
            <p class="stamps">
              {row.name ? <span>{row.name}</span> : null}
              <span class={row.outcome}>
                <Stamp word={stamped[row.outcome]} />
              </span>
              {row.promisedLittle ? <Stamp word="promised little" /> : null}
            </p>
            {across ? <Strip row={row} across={across} measure={measure} /> : null}
            <p class="small">{rowText(row)}</p>
            {typeof row.because === "string" ? <p>{row.because}</p> : row.because}
          </li>
        ))}
      </ul>
      {across ? <Scale across={across} /> : null}
    </figure>
  );
}

const band = { top: 24, height: 34 };
const bar = band.top + band.height / 2;
const strip = 82; // px: a text, the band, a text

/** Strip is the picture of a row: the promise as a hatched band, the middle a tick on it, the measurement a bar across. */
function Strip({ row, across, measure }: { row: Confrontation; across: Across; measure: (text: string) => number }) {
  const id = useId().replaceAll(":", "");
  const { promised, predicted, measured } = row;
  const { width, x } = across;
  const [low, high] = [promised?.low ?? null, promised?.high ?? null];
  const [a, b] = [low === null ? 0 : x(low), high === null ? width : x(high)];
  const [says, found] = [promisedText(row), measuredText(row)];
  return (
    <svg width={width} height={strip} viewBox={`0 0 ${width} ${strip}`} aria-hidden="true" focusable="false">
      <defs>
        <Diagonals id={id} />
      </defs>
      <text x={within((a + b) / 2, measure(says), width)} y={16} text-anchor="middle">
        {says}
      </text>
      <path class="grid" d={across.ticks.map((t) => `M${across.tickX(t.at)} ${band.top}v${band.height}`).join("")} />
      {low !== null || high !== null ? <rect x={a} y={band.top} width={b - a} height={band.height} fill={`url(#${id})`} /> : null}
      <path class="end" d={[low, high].map((v) => (v === null ? "" : `M${x(v)} ${band.top - 2}v${band.height + 4}`)).join("")} />
      <path class="thin" d={low !== null || high !== null ? `M${a} ${band.top}H${b}M${a} ${band.top + band.height}H${b}` : ""} />
      {predicted === null ? null : <Middle x={x(predicted)} />}
      {measured ? <Bar low={x(measured.low)} at={x(measured.value)} high={x(measured.high)} /> : null}
      <text x={measured ? within(x(measured.value), measure(found), width) : within((a + b) / 2, measure(found), width)} y={strip - 5} text-anchor="middle">
        {found}
      </text>
    </svg>
  );
}

/** Middle is the predicted value: a level mark on the upper edge of the band, and a chain line down. */
function Middle({ x }: { x: number }) {
  return (
    <g>
      <path class="chain" d={`M${x} ${band.top}v${band.height}`} />
      <path class="arrow" d={`M${x - 6} ${band.top}h12l-6 9Z`} />
    </g>
  );
}

/** Bar is a measured value with its interval: heavy, with ends, and a point; the sheet shows around it. */
function Bar({ low, at, high }: { low: number; at: number; high: number }) {
  const d = `M${low} ${bar}H${high}M${low} ${bar - 7}v14M${high} ${bar - 7}v14`;
  return (
    <g>
      <path class="halo" d={d} />
      <path class="bar" d={d} />
      <circle class="point" cx={at} cy={bar} r={5.5} />
    </g>
  );
}

function Scale({ across }: { across: Across }) {
  return (
    <svg width={across.width} height={30} viewBox={`0 0 ${across.width} 30`} aria-hidden="true" focusable="false">
      <path class="axis" d={`M0 1H${across.width}${across.ticks.map((t) => `M${across.tickX(t.at)} 1v7`).join("")}`} />
      {across.ticks.map((t) => (
        <text key={t.at} x={across.tickX(t.at)} y={25} text-anchor="middle">
          {t.text}
        </text>
      ))}
    </svg>
  );
}

function ConfrontedKey() {
  const id = useId().replaceAll(":", "");
  return (
    <ul class="plot-key plot">
      <Sample says={`promised, 95\u202F%`}>
        <Diagonals id={id} />
        <rect x={2} y={1} width={32} height={18} fill={`url(#${id})`} />
        <path class="thin" d="M2 1H34M2 19H34" />
        <path class="end" d="M2 0V20M34 0V20" />
      </Sample>
      <Sample says="predicted middle">
        <path class="chain" d="M18 1V20" />
        <path class="arrow" d="M12 1h12l-6 9Z" />
      </Sample>
      <Sample says={`measured, 95\u202F%`}>
        <path class="bar" d="M3 10H33M3 4v12M33 4v12" />
        <circle class="point" cx={18} cy={10} r={5} />
      </Sample>
    </ul>
  );
}

import { useId, useMemo, useRef, useState } from "preact/hooks";
import type { Unit } from "../../units";
import { Diagonals, Sample } from "../Plot/Key";
import { paperWidth, textMeasure, useWidth } from "../Plot/measure";
import "../Plot/plot.css";
import { layOut, type Layout } from "./layout";
import { Dimension, Drawn, Gap, Hatched, Masks, Outliers, Scales, Whole, type Named } from "./Picture";
import { holds, lengthOf, overlap, type Span } from "./span";
import { outline, runs, seen, type Point } from "./trace";
import { useShown, type Shown } from "./useShown";
import { markedText, shownText, type Mean } from "./words";
import { SeriesTable } from "./SeriesTable";
import "./serieschart.css";

/** What is known of a channel. Times are seconds from the start of the record, values in the base unit of their quantity. */
export interface SeriesChartProps {
  /** What was measured: "Pressure in the chamber". */
  name: string;
  /** The unit it is written in, from useUnits().shown of the greatest value. */
  unit: Unit;
  /** Reduced points in order of time, of the part shown or more. */
  points: readonly Point[];
  /** The whole record. */
  extent: Span;
  /** Up to here the start is not counted. */
  cutTo?: number | null;
  /** The steady window. */
  steady?: Span | null;
  outliers?: readonly (readonly [t: number, value: number])[];
  /** How many there are, where not all are given. */
  standOut?: number;
  gaps?: readonly Span[];
  /** The mean of all samples of a span; said where that span is shown, else one from the points. */
  mean?: Mean | null;
  /** The shortest part there is sense in showing, in seconds: some ten samples. */
  least?: number;
  /** Finer points are on their way. */
  waiting?: boolean;
  /** Asked for the points of a part, a quarter of a second after it was chosen. */
  onWindow: (from: number, to: number) => void;
}

/** SeriesChart draws a channel over time. A part is chosen by buttons, by the keyboard or by drawing a span; what is shown is said in words. */
export function SeriesChart(props: SeriesChartProps) {
  const { name, unit, extent, outliers = [], gaps = [], waiting = false } = props;
  const shown = useShown(extent, props.least ?? lengthOf(extent) / 2000, props.onWindow);
  const marked = { cutTo: props.cutTo ?? null, steady: props.steady ?? null, outliers, gaps };
  const said = shownText(props, shown.span);
  return (
    <figure class="plot series" aria-label={name}>
      <figcaption>
        {name}
        {unit.name ? `, ${unit.name}` : ""}
      </figcaption>
      <p aria-live="polite">
        {said}
        {waiting ? <span class="quiet"> Finer points are on their way.</span> : null}
      </p>
      <Plot {...props} outliers={outliers} gaps={gaps} shown={shown} />
      <Steps shown={shown} />
      <SeriesKey {...marked} shown={shown.span} />
      <p class="small">{markedText(marked, unit, props.standOut)} The axis of values need not begin at 0.</p>
      <details class="fold">
        <summary>The same as a table</summary>
        <SeriesTable points={props.points} span={shown.span} marked={marked} unit={unit} />
      </details>
    </figure>
  );
}

type PlotProps = SeriesChartProps & { outliers: readonly (readonly [t: number, value: number])[]; gaps: readonly Span[]; shown: Shown };

const keysSay = "Left and right arrows move, plus and minus change the size, Home shows all.";

/** Plot is the picture, and the place where a span is drawn out or the keyboard is used. */
function Plot(props: PlotProps) {
  const { points, shown, unit, outliers, gaps, cutTo, steady } = props;
  const box = useRef<HTMLDivElement>(null);
  const width = useWidth(box, paperWidth);
  const id = useId().replaceAll(":", "");
  const { from, to } = shown.span;
  const l = useMemo(() => {
    const inside = seen(points, { from, to });
    const near = outliers.filter(([t]) => holds({ from, to }, t));
    const lanes = (cutTo ? 1 : 0) + (steady ? 1 : 0);
    return width > 0 ? layOut({ width, span: { from, to }, unit, points: inside, outliers: near, lanes, measure: textMeasure(16) }) : null;
  }, [points, outliers, from, to, unit, width, cutTo, steady]);
  const trace = useMemo(() => (l ? runs(seen(points, { from, to }), gaps).map((r) => outline(r, l.x, l.y)).join("") : ""), [l, points, gaps, from, to]);
  return (
    <div ref={box} class="series-place" tabIndex={0} role="group" aria-label={`${props.name} over time. ${keysSay}`} onKeyDown={(e) => onKey(e, shown)}>
      {l ? <Drawing {...props} l={l} trace={trace} id={id} /> : null}
    </div>
  );
}

function Drawing({ l, trace, id, shown, extent, outliers, gaps, cutTo, steady, name }: PlotProps & { l: Layout; trace: string; id: string }) {
  const { drawn, ...hand } = useHand(l, shown);
  const measure = textMeasure(16);
  const cut = cutTo ? { from: extent.from, to: cutTo } : null;
  const named: Named[] = [...(cut ? [{ id: "cut", says: "start, not counted", span: cut }] : []), ...(steady ? [{ id: "steady", says: "steady", span: steady }] : [])];
  return (
    <svg width={l.width} height={l.height} viewBox={`0 0 ${l.width} ${l.height}`} role="img" aria-label={`${name}: the words above and the table below say the same.`}>
      <Masks id={id} l={l} />
      {cut ? <Hatched l={l} span={cut} fill={`url(#${id}-cut)`} /> : null}
      <Scales l={l} />
      {steady ? <Hatched l={l} span={steady} fill="none" /> : null}
      {gaps.map((g) => (
        <Gap key={g.from} l={l} span={g} measure={measure} />
      ))}
      <g clip-path={`url(#${id}-clip)`}>
        <path class="trace" d={trace} />
      </g>
      <Outliers l={l} at={outliers.filter(([t]) => holds(l.span, t))} />
      {drawn ? <Drawn l={l} {...drawn} /> : null}
      <rect class="frame" x={l.left} y={l.top} width={l.right - l.left} height={l.bottom - l.top} />
      {named.map((n, i) => (
        <Dimension key={n.id} l={l} named={n} row={i} measure={measure} />
      ))}
      <Whole l={l} extent={extent} />
      <rect class="hand" x={l.left} y={l.top} width={l.right - l.left} height={l.bottom - l.top} {...hand} />
    </svg>
  );
}

const leastDrawn = 10; // px: less is a tap, not a span

/** useHand draws out a span with a mouse or a finger. Moving up and down still scrolls the page. */
function useHand(l: Layout, shown: Shown) {
  const [drawn, setDrawn] = useState<{ from: number; to: number } | null>(null);
  const at = (e: PointerEvent & { currentTarget: SVGRectElement }) => {
    const box = e.currentTarget.getBoundingClientRect();
    const scale = box.width > 0 ? (l.right - l.left) / box.width : 1;
    return Math.max(l.left, Math.min(l.right, l.left + (e.clientX - box.left) * scale));
  };
  const time = (x: number) => l.span.from + ((x - l.left) / (l.right - l.left)) * lengthOf(l.span);
  return {
    drawn,
    onPointerDown: (e: PointerEvent & { currentTarget: SVGRectElement }) => {
      if (e.isPrimary && e.button === 0) {
        e.currentTarget.setPointerCapture(e.pointerId);
        setDrawn({ from: at(e), to: at(e) });
      }
    },
    onPointerMove: (e: PointerEvent & { currentTarget: SVGRectElement }) => {
      if (drawn) {
        setDrawn({ from: drawn.from, to: at(e) });
      }
    },
    onPointerUp: () => {
      if (drawn && Math.abs(drawn.to - drawn.from) >= leastDrawn) {
        shown.choose({ from: time(Math.min(drawn.from, drawn.to)), to: time(Math.max(drawn.from, drawn.to)) });
      }
      setDrawn(null);
    },
    onPointerCancel: () => setDrawn(null),
  };
}

const [inBy, outBy, step] = [0.5, 2, 0.5];

function onKey(e: KeyboardEvent, shown: Shown) {
  const acts: Record<string, () => void> = {
    "+": () => shown.zoom(inBy),
    "=": () => shown.zoom(inBy),
    "-": () => shown.zoom(outBy),
    ArrowLeft: () => shown.move(-step / 2),
    ArrowRight: () => shown.move(step / 2),
    Home: shown.back,
  };
  const act = acts[e.key];
  if (act && !e.ctrlKey && !e.metaKey && !e.altKey) {
    e.preventDefault();
    act();
  }
}

/** Steps do by buttons what a hand does on the picture. */
function Steps({ shown }: { shown: Shown }) {
  const buttons: [string, string, boolean, () => void][] = [
    ["In", "In: half as long", !shown.finest, () => shown.zoom(inBy)],
    ["Out", "Out: twice as long", !shown.whole, () => shown.zoom(outBy)],
    ["Earlier", "Earlier", !shown.whole, () => shown.move(-step)],
    ["Later", "Later", !shown.whole, () => shown.move(step)],
    ["Back to all", "Back to all", !shown.whole, shown.back],
  ];
  return (
    <div class="series-steps off-paper" role="group" aria-label="Part of the record that is shown">
      {buttons.map(([word, says, possible, act]) => (
        <button key={word} type="button" class="second" aria-label={says} aria-disabled={!possible} onClick={possible ? act : undefined}>
          {word}
        </button>
      ))}
      <span class="small quiet">or draw a span on the picture</span>
    </div>
  );
}

/** SeriesKey says what the marks in sight stand for. */
function SeriesKey({ shown, cutTo, outliers, gaps }: { shown: Span; cutTo: number | null; outliers: readonly (readonly [t: number, value: number])[]; gaps: readonly Span[] }) {
  const id = useId().replaceAll(":", "");
  return (
    <ul class="plot-key">
      <Sample says="measured, least to greatest">
        <path class="trace" d="M1 11L9 8L17 12L26 7L35 10L35 13L26 11L17 15L9 12L1 14Z" />
      </Sample>
      {cutTo && cutTo > shown.from ? (
        <Sample says="not counted">
          <Diagonals id={id} />
          <rect width={36} height={20} fill={`url(#${id})`} />
        </Sample>
      ) : null}
      {outliers.some(([t]) => holds(shown, t)) ? (
        <Sample says="outlier">
          <circle class="outlier" cx={18} cy={10} r={6} />
        </Sample>
      ) : null}
      {gaps.some((g) => overlap(g, shown)) ? (
        <Sample says="gap: no data">
          <path class="gap" d="M8 0V20M28 0V20" />
        </Sample>
      ) : null}
    </ul>
  );
}

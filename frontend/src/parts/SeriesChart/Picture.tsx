import { Diagonals } from "../Plot/Key";
import { lane, textHeight, type Layout } from "./layout";
import { overlap, type Span } from "./span";

/** A part of a record that has a name. */
export interface Named {
  id: string;
  says: string;
  span: Span;
}

/** Scales are the frame with values at its left and times below. */
export function Scales({ l }: { l: Layout }) {
  return (
    <>
      {l.values.map((v) => (
        <g key={v.text}>
          <path class="grid" d={`M${l.left} ${yTick(l, v.at)}H${l.right}`} />
          <text x={l.left - 8} y={yTick(l, v.at) + 5} text-anchor="end">
            {v.text}
          </text>
        </g>
      ))}
      {l.times.map((t) => (
        <g key={t.at}>
          <path class="axis" d={`M${l.x(t.at)} ${l.bottom}v6`} />
          <text x={l.x(t.at)} y={l.bottom + 22} text-anchor="middle">
            {t.text}
          </text>
        </g>
      ))}
    </>
  );
}

/** yTick finds the height of a tick: ticks are even, from one end of the axis to the other. */
function yTick(l: Layout, at: number): number {
  const [first, last] = [l.values[0]?.at ?? 0, l.values.at(-1)?.at ?? 1];
  return l.bottom - ((at - first) / (last - first)) * (l.bottom - l.top);
}

/** Hatched covers a part of the plot, and marks those of its ends that are in sight. */
export function Hatched({ l, span, fill }: { l: Layout; span: Span; fill: string }) {
  const inside = overlap(span, l.span);
  if (!inside) {
    return null;
  }
  const [a, b] = [l.x(inside.from), l.x(inside.to)];
  return (
    <g>
      <rect x={a} y={l.top} width={b - a} height={l.bottom - l.top} fill={fill} />
      <path class="limit" d={endsOf(l, span).map((x) => `M${x} ${l.top}V${l.bottom}`).join("")} />
    </g>
  );
}

/** endsOf are the ends of a span that lie inside the plot, in pixels. */
function endsOf(l: Layout, span: Span): number[] {
  return [span.from, span.to].filter((t) => t > l.span.from && t < l.span.to).map(l.x);
}

/** Dimension is the name of a span over the plot, above a dimension line as on an elevation. */
export function Dimension({ l, named, row, measure }: { l: Layout; named: Named; row: number; measure: (text: string) => number }) {
  const inside = overlap(named.span, l.span);
  if (!inside) {
    return null;
  }
  const [a, b] = [l.x(inside.from), l.x(inside.to)];
  const half = measure(named.says) / 2;
  const middle = Math.max(half, Math.min((a + b) / 2, l.width - half));
  const top = row * lane;
  const y = top + lane - 6;
  const arrows = b - a > 24 ? `M${a + 7} ${y - 3}L${a} ${y}L${a + 7} ${y + 3}ZM${b - 7} ${y - 3}L${b} ${y}L${b - 7} ${y + 3}Z` : "";
  return (
    <g>
      <text x={middle} y={top + textHeight} text-anchor="middle">
        {named.says}
      </text>
      <path class="thin" d={`M${a} ${y}H${b}${endsOf(l, named.span).map((x) => `M${x} ${y - 5}v10`).join("")}`} />
      <path class="arrow" d={arrows} />
    </g>
  );
}

/** Gap is a blank between two limits, with its name where there is room. */
export function Gap({ l, span, measure }: { l: Layout; span: Span; measure: (text: string) => number }) {
  const inside = overlap(span, l.span);
  if (!inside) {
    return null;
  }
  const [a, b] = [l.x(inside.from), l.x(inside.to)];
  const wide = measure(gapSays);
  const y = (l.top + l.bottom) / 2;
  return (
    <g>
      <rect class="under" x={a} y={l.top} width={b - a} height={l.bottom - l.top} />
      <path class="gap" d={endsOf(l, span).map((x) => `M${x} ${l.top}V${l.bottom}`).join("")} />
      {b - a > wide + 10 ? (
        <text x={(a + b) / 2} y={y + 5} text-anchor="middle">
          {gapSays}
        </text>
      ) : null}
    </g>
  );
}

const gapSays = "no data";

/** Outliers are ringed: they count unless a person says otherwise. */
export function Outliers({ l, at }: { l: Layout; at: readonly (readonly [t: number, value: number])[] }) {
  return (
    <>
      {at.map(([t, value], i) => (
        <circle key={i} class="outlier" cx={l.x(t)} cy={l.y(value)} r={6} />
      ))}
    </>
  );
}

/** Whole is the bar under the plot: the record from end to end, and heavy the part that is shown. */
export function Whole({ l, extent }: { l: Layout; extent: Span }) {
  const y = l.bottom + 38;
  const x = (t: number) => l.left + ((t - extent.from) / (extent.to - extent.from)) * (l.right - l.left);
  const [a, b] = [x(l.span.from), x(l.span.to)];
  return (
    <>
      <path class="thin" d={`M${l.left} ${y - 4}v8M${l.left} ${y}H${l.right}M${l.right} ${y - 4}v8`} />
      <rect class="shown" x={Math.min(a, l.right - 3)} y={y - 3} width={Math.max(3, b - a)} height={6} />
    </>
  );
}

/** Drawn is the span that a finger is drawing out. */
export function Drawn({ l, from, to }: { l: Layout; from: number; to: number }) {
  const [a, b] = [Math.min(from, to), Math.max(from, to)];
  return <rect class="drawn" x={a} y={l.top} width={b - a} height={l.bottom - l.top} />;
}

/** Masks are the hatch of the start that does not count, and the clip to the frame. */
export function Masks({ id, l }: { id: string; l: Layout }) {
  return (
    <defs>
      <Diagonals id={`${id}-cut`} />
      <clipPath id={`${id}-clip`}>
        <rect x={l.left} y={l.top} width={l.right - l.left} height={l.bottom - l.top} />
      </clipPath>
    </defs>
  );
}

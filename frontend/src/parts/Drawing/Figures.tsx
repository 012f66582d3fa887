import { bubbles } from "./bubbles";
import { frame, type Composition, type Text } from "./compose";
import type { Fitting, Level, Part, Shape } from "./model";
import { fillOf } from "./patterns";
import type { Spot } from "./scale";

function path(points: Spot[], closed: boolean): string {
  return points.map((p, i) => `${i === 0 ? "M" : "L"}${p.x.toFixed(1)} ${p.y.toFixed(1)}`).join("") + (closed ? "Z" : "");
}

/** Figure is one shape: a line, or an area with its hatch. */
export function Figure({ shape, laid, patterns, lit }: { shape: Shape; laid: Composition; patterns: string; lit: boolean }) {
  const spots = shape.points.map(laid.at);
  const d = path(spots, shape.closed);
  if (!shape.closed) {
    return shape.kind === "hose" ? (
      <g class={lit ? "lit" : undefined}>
        <path class="hose" d={d} />
        <path class="hose-inside" d={d} />
      </g>
    ) : (
      <path class={lit ? `${shape.kind} lit` : shape.kind} d={d} />
    );
  }
  return (
    <>
      {shape.kind === "ground" ? null : <path class="inside" d={d} />}
      {fillOf(shape, patterns).map((fill) => (
        <path key={fill} d={d} fill={`url(#${fill})`} />
      ))}
    </>
  );
}

/** runs puts the lengths of a pipe full of mixture together, to be drawn at once; every other shape stands alone. */
export function runs(shapes: Shape[]): Shape[][] {
  const all: Shape[][] = [];
  for (const s of shapes) {
    const last = all.at(-1);
    if (last && s.kind === "mixture" && last[0]?.kind === "mixture") {
      last.push(s);
    } else {
      all.push([s]);
    }
  }
  return all;
}

/** Mixture is water with bubbles in it, length after length. */
export function Mixture({ lengths, laid, patterns }: { lengths: Shape[]; laid: Composition; patterns: string }) {
  const areas = lengths.map((s) => ({ spots: s.points.map(laid.at), void_: s.void ?? 0 }));
  const d = areas.map((a) => path(a.spots, true)).join("");
  const strewn = areas.map((a) => bubbles(a.spots, a.void_)).join("");
  return (
    <>
      <path class="inside" d={d} />
      {fillOf({ kind: "mixture" }, patterns).map((fill) => (
        <path key={fill} d={d} fill={`url(#${fill})`} />
      ))}
      <path class="bubble" d={strewn} />
      <path class="bubble-inside" d={strewn} />
    </>
  );
}

/** Measures are the dimension lines. */
export function Measures({ laid }: { laid: Composition }) {
  return (
    <g class="measures">
      {laid.measures.map((m) => (
        <g key={m.id} data-dimension={m.id}>
          <path class="thin" d={`M${m.top.x} ${m.top.y}H${m.x}M${m.bottom.x} ${m.bottom.y}H${m.x}`} />
          <path class="thin span" d={`M${m.x} ${m.top.y}V${m.bottom.y}`} />
          <path class="arrow" d={`M${m.x} ${m.top.y}l-3.5 9h7zM${m.x} ${m.bottom.y}l-3.5 -9h7z`} />
        </g>
      ))}
    </g>
  );
}

/** Levels are the triangles on surfaces and edges, of those that have their text. */
export function Levels({ levels, laid }: { levels: Level[]; laid: Composition }) {
  const shown = new Set(laid.texts.map((t) => t.note.id));
  return (
    <g class="marks">
      {levels
        .filter((l) => shown.has(l.id))
        .map((l) => {
          const { x, y } = laid.at(l.at);
          return (
            <g key={l.id}>
              <path class="thin" d={`M${x - 11} ${y}h22`} />
              <path class="mark" d={`M${x} ${y}l-5 -8h10z`} />
            </g>
          );
        })}
    </g>
  );
}

const apart = 17; // px between the middles of two signs that do not cover each other

/** Fittings are the signs of gauges and valves; an open valve goes without where it would lie on a gauge. */
export function Fittings({ fittings, laid }: { fittings: Fitting[]; laid: Composition }) {
  const gauges = fittings.filter((f) => f.kind === "gauge").map((f) => laid.at(f.at));
  const covers = (f: Fitting) => gauges.some((g) => Math.hypot(g.x - laid.at(f.at).x, g.y - laid.at(f.at).y) < apart);
  return (
    <g class="fittings">
      {fittings
        .filter((f) => f.kind !== "valve" || !covers(f))
        .map((f) => {
          const { x, y } = laid.at(f.at);
          return f.kind === "gauge" ? (
            <g key={f.id}>
              <circle class="gauge" cx={x} cy={y} r={9} />
              <path class="thin" d={`M${x} ${y}l5 -5`} />
            </g>
          ) : (
            <path key={f.id} class={f.kind} d={`M${x - 7} ${y - 6}v12l14 -12v12z`} />
          );
        })}
    </g>
  );
}

interface WordsProps {
  text: Text;
  laid: Composition;
  selected: boolean;
  onSelect: ((p: Part) => void) | undefined;
}

/** Words are one text with the line to what it speaks of; a warning has a double frame. */
export function Words({ text, laid, selected, onSelect }: WordsProps) {
  const { note, box, leader } = text;
  const end = note.side === "left";
  const danger = note.kind === "warning";
  const inset = danger ? frame + 2 : 3;
  const x = end ? box.x + box.width - inset : box.x + inset;
  const last = leader.at(-1);
  return (
    <g class={`words ${note.kind}${selected ? " selected" : ""}`} data-part={note.part} onClick={onSelect ? () => onSelect(note.part) : undefined}>
      <path class="leader" d={path(leader, false)} />
      {last && (note.kind === "label" || danger) ? <circle class="point" cx={last.x} cy={last.y} r={danger ? 3.2 : 2} /> : null}
      {danger ? (
        <g>
          <rect class="danger-outer" x={box.x + 0.5} y={box.y} width={box.width - 1} height={box.height} />
          <rect class="danger-inner" x={box.x + 3} y={box.y + 2.5} width={box.width - 6} height={box.height - 5} />
        </g>
      ) : null}
      <text text-anchor={end ? "end" : "start"}>
        {note.lines.map((line, i) => (
          <tspan key={i} x={x} y={box.y + note.pad + laid.lineHeight * (i + 0.76)}>
            {line}
          </tspan>
        ))}
      </text>
    </g>
  );
}

import { useEffect, useId, useMemo, useRef, useState } from "preact/hooks";
import { compose, frame, type Composition, type Sheet, type Text } from "./compose";
import type { Elevation, Part, Shape } from "./model";
import { Patterns, fillOf } from "./patterns";
import type { Spot } from "./scale";
import "./drawing.css";

export interface DrawingProps {
  drawing: Elevation;
  /** What the drawing shows, in one sentence, for those who can't see it. */
  about: string;
  /** The greatest height it may take, in pixels. */
  height: number;
  /** Only what matters most. */
  short?: boolean;
  /** A fixed width, for paper; else the place it stands in says. */
  width?: number;
  write: Sheet["write"];
  selected?: Part | null;
  onSelect?: (part: Part) => void;
  /** Called with pixels to the metre when the drawing has its place. */
  onScale?: (perMetre: number) => void;
}

/** The words for parts, as buttons on the drawing say them. */
export const partNames: Record<Part, string> = {
  site: "Site",
  supply: "Water supply",
  intake: "Intake",
  downcomer: "Downcomer",
  chamber: "Chamber",
  riser: "Riser",
  takeoff: "Air take-off",
};

/** Drawing shows an elevation to scale, with texts as large as the text beside it. A part can be chosen in it. */
export function Drawing(props: DrawingProps) {
  const { drawing, about, height, short = false, write, selected = null, onSelect, onScale } = props;
  const box = useRef<HTMLDivElement>(null);
  const own = useWidth(box);
  const width = props.width ?? own;
  const id = useId().replaceAll(":", "");
  const fontSize = short ? 15 : 16;
  const laid = useMemo(
    () => (width > 0 ? compose(drawing, { width, height, fontSize, short, measure: textMeasure(fontSize), write }) : null),
    [drawing, width, height, short, fontSize, write],
  );
  useEffect(() => {
    if (laid) {
      onScale?.(laid.scale.perMetre);
    }
  }, [laid, onScale]);
  return (
    <div class={short ? "drawing short" : "drawing"} ref={box}>
      {laid ? (
        <svg width={laid.width} height={laid.height} viewBox={`0 0 ${laid.width} ${laid.height}`} role="group" aria-label={about}>
          <Patterns id={id} />
          <Selection drawing={drawing} laid={laid} part={selected} />
          {drawing.shapes.map((s) => (
            <Figure key={s.id} shape={s} laid={laid} patterns={id} />
          ))}
          <Measures laid={laid} />
          <Marks drawing={drawing} laid={laid} />
          {laid.texts.map((t) => (
            <Words key={t.note.id} text={t} laid={laid} onSelect={onSelect} selected={t.note.part === selected} />
          ))}
          {onSelect ? <Handles drawing={drawing} laid={laid} selected={selected} onSelect={onSelect} /> : null}
        </svg>
      ) : null}
      {!short && laid ? <Notes drawing={drawing} laid={laid} /> : null}
    </div>
  );
}

function useWidth(box: { current: HTMLDivElement | null }): number {
  const [width, setWidth] = useState(0);
  useEffect(() => {
    const place = box.current;
    if (!place) {
      return;
    }
    const watch = new ResizeObserver(() => setWidth(Math.floor(place.clientWidth)));
    watch.observe(place);
    setWidth(Math.floor(place.clientWidth));
    return () => watch.disconnect();
  }, []);
  return width;
}

/** textMeasure measures with the page's own font; where there is no canvas it reckons on the wide side. */
export function textMeasure(fontSize: number): (text: string) => number {
  const pen = typeof CanvasRenderingContext2D === "undefined" ? null : document.createElement("canvas").getContext("2d");
  if (!pen) {
    return (text) => text.length * fontSize * 0.58;
  }
  const family = getComputedStyle(document.body).fontFamily;
  pen.font = `600 ${fontSize}px ${family}`;
  return (text) => pen.measureText(text).width * 1.03 + 1;
}

function path(points: Spot[], closed: boolean): string {
  return points.map((p, i) => `${i === 0 ? "M" : "L"}${p.x.toFixed(1)} ${p.y.toFixed(1)}`).join("") + (closed ? "Z" : "");
}

function Figure({ shape, laid, patterns }: { shape: Shape; laid: Composition; patterns: string }) {
  const d = path(shape.points.map(laid.at), shape.closed);
  if (!shape.closed) {
    return shape.kind === "hose" ? (
      <g>
        <path class="hose" d={d} />
        <path class="hose-inside" d={d} />
      </g>
    ) : (
      <path class={shape.kind} d={d} />
    );
  }
  return (
    <g>
      {shape.kind === "ground" ? null : <path class="inside" d={d} />}
      {fillOf(shape, patterns).map((fill) => (
        <path key={fill} d={d} fill={`url(#${fill})`} />
      ))}
    </g>
  );
}

function Measures({ laid }: { laid: Composition }) {
  return (
    <g class="measures">
      {laid.measures.map((m) => (
        <g key={m.id}>
          <path class="thin" d={`M${m.top.x} ${m.top.y}H${m.x}M${m.bottom.x} ${m.bottom.y}H${m.x}M${m.x} ${m.top.y}V${m.bottom.y}`} />
          <path class="arrow" d={`M${m.x} ${m.top.y}l-3.5 9h7zM${m.x} ${m.bottom.y}l-3.5 -9h7z`} />
        </g>
      ))}
    </g>
  );
}

function Marks({ drawing, laid }: { drawing: Elevation; laid: Composition }) {
  const shown = new Set(laid.texts.map((t) => t.note.id));
  return (
    <g class="marks">
      {drawing.levels
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
      {drawing.gauges.map((g) => {
        const { x, y } = laid.at(g.at);
        return (
          <g key={g.id}>
            <circle class="gauge" cx={x} cy={y} r={9} />
            <path class="thin" d={`M${x} ${y}l5 -5`} />
          </g>
        );
      })}
    </g>
  );
}

function Words({ text, laid, selected, onSelect }: { text: Text; laid: Composition; selected: boolean; onSelect: ((p: Part) => void) | undefined }) {
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

interface Box {
  x: number;
  y: number;
  width: number;
  height: number;
}

/** boxOf bounds the shapes of a part, at least as large as a finger. */
function boxOf(drawing: Elevation, laid: Composition, part: Part, least: number): Box | null {
  const spots = drawing.shapes.filter((s) => s.part === part && s.kind !== "centre").flatMap((s) => s.points.map(laid.at));
  if (spots.length === 0) {
    return null;
  }
  const xs = spots.map((s) => s.x);
  const ys = spots.map((s) => s.y);
  const grow = (low: number, high: number, limit: number): [number, number] => {
    const size = Math.max(high - low, least);
    const start = Math.max(0, Math.min((low + high - size) / 2, limit - size));
    return [start, Math.min(size, limit)];
  };
  const [x, width] = grow(Math.min(...xs), Math.max(...xs), laid.width);
  const [y, height] = grow(Math.min(...ys), Math.max(...ys), laid.height);
  return { x, y, width, height };
}

function Selection({ drawing, laid, part }: { drawing: Elevation; laid: Composition; part: Part | null }) {
  const b = part ? boxOf(drawing, laid, part, 16) : null;
  return b ? <rect class="selection" x={b.x - 5} y={b.y - 5} width={b.width + 10} height={b.height + 10} /> : null;
}

/** Small parts lie over large ones, so that each can be hit. */
const order: Part[] = ["site", "supply", "riser", "chamber", "downcomer", "intake", "takeoff"];

function Handles({ drawing, laid, selected, onSelect }: { drawing: Elevation; laid: Composition; selected: Part | null; onSelect: (p: Part) => void }) {
  return (
    <g class="handles">
      {order.slice(1).map((part) => {
        const b = boxOf(drawing, laid, part, 44);
        const choose = () => onSelect(part);
        const key = (e: KeyboardEvent) => {
          if (e.key === "Enter" || e.key === " ") {
            e.preventDefault();
            choose();
          }
        };
        return b ? (
          <g key={part} role="button" tabindex={0} aria-pressed={part === selected} aria-label={partNames[part]} data-part={part} onClick={choose} onKeyDown={key}>
            <rect {...b} />
          </g>
        ) : null;
      })}
    </g>
  );
}

function Notes({ drawing, laid }: { drawing: Elevation; laid: Composition }) {
  const notes = [...drawing.notes];
  if (laid.scale.widened) {
    notes.push("narrow pipes drawn wider than they are");
  }
  return (
    <p class="drawing-notes">
      Scale about 1:{roundScale(laid.scale.perMetre)}, heights true{notes.length > 0 ? `; ${notes.join("; ")}` : ""}.
    </p>
  );
}

/** roundScale gives the N of 1:N for a screen of 96 pixels to the inch, to two figures. */
export function roundScale(perMetre: number): number {
  const n = 96 / 0.0254 / perMetre;
  return Number(n.toPrecision(2));
}

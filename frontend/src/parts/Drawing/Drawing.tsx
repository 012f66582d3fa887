import { useEffect, useId, useMemo, useRef } from "preact/hooks";
import { paperWidth, textMeasure, useWidth } from "../Plot/measure";
import { compose, type Composition, type Sheet } from "./compose";
import { Figures } from "./Figures";
import { Handles, Selection } from "./Handles";
import { Fittings, Levels, Measures } from "./Marks";
import type { Elevation, Part } from "./model";
import { Patterns } from "./patterns";
import { Plan } from "./Plan";
import { Words } from "./Words";
import "./drawing.css";

export { partNames } from "./Handles";

export interface DrawingProps {
  drawing: Elevation;
  /** What the drawing shows, in one sentence, for those who can't see it. */
  about: string;
  /** The greatest height it may take, in pixels. */
  height: number;
  /** Only what matters most. */
  short?: boolean;
  /** Without the tubes from above, for a page that shows them where they are typed. */
  withoutPlan?: boolean;
  /** At a scale of the drawing office, so that it can be measured with a rule. */
  paper?: boolean;
  /** A fixed width, for paper; else the place it stands in says. */
  width?: number;
  write: Sheet["write"];
  selected?: Part | null;
  onSelect?: (part: Part) => void;
  /** Called when the drawing has its place: with pixels to the metre, and from its top where level 0 lies and where it ends. */
  onScale?: (perMetre: number, zero: number, height: number) => void;
}

/** Drawing shows an elevation to scale, with texts as large as the text beside it. A part can be chosen in it. */
export function Drawing(props: DrawingProps) {
  const { drawing, about, height, short = false, paper = false, write, selected = null, onSelect, onScale } = props;
  const box = useRef<HTMLDivElement>(null);
  const own = useWidth(box, paperWidth);
  const width = props.width ?? own;
  const id = useId().replaceAll(":", "");
  const fontSize = short ? 15 : 16;
  const laid = useMemo(
    () => (width > 0 ? compose(drawing, { width, height, fontSize, short, paper, measure: textMeasure(fontSize), write }) : null),
    [drawing, width, height, short, paper, fontSize, write],
  );
  useEffect(() => {
    if (laid) {
      onScale?.(laid.scale.perMetre, laid.at([0, 0]).y, laid.height);
    }
  }, [laid, onScale]);
  return (
    <div class={short ? "drawing short" : "drawing"} ref={box}>
      {laid ? (
        <svg width={laid.width} height={laid.height} viewBox={`0 0 ${laid.width} ${laid.height}`} role="group" aria-label={about}>
          <Patterns id={id} />
          <Selection drawing={drawing} laid={laid} part={selected} />
          <Figures shapes={drawing.shapes} laid={laid} patterns={id} selected={selected} />
          <Measures laid={laid} />
          <Levels levels={drawing.levels} laid={laid} />
          <Fittings fittings={drawing.fittings} laid={laid} />
          <Words laid={laid} selected={selected} onSelect={onSelect} />
          {onSelect ? <Handles drawing={drawing} laid={laid} selected={selected} onSelect={onSelect} /> : null}
        </svg>
      ) : null}
      {!short && laid ? (
        <>
          {laid.keyed ? <Key laid={laid} selected={selected} /> : null}
          {drawing.bundle && !props.withoutPlan ? <Plan bundle={drawing.bundle} write={write} /> : null}
          <Notes drawing={drawing} laid={laid} paper={paper} />
        </>
      ) : null}
    </div>
  );
}

/** Key says what the numbers beside a wide machine stand for. */
function Key({ laid, selected }: { laid: Composition; selected: Part | null }) {
  return (
    <ol class="drawing-key">
      {laid.texts.map(({ note }) => (
        <li key={note.id} class={note.kind === "warning" ? "warning" : note.part === selected ? "selected" : undefined}>
          {note.text}
        </li>
      ))}
    </ol>
  );
}

function Notes({ drawing, laid, paper }: { drawing: Elevation; laid: Composition; paper: boolean }) {
  const { perMetre, widened } = laid.scale;
  const notes = [...drawing.notes];
  if (widened) {
    notes.unshift("narrow pipes drawn wider than they are");
  }
  if (laid.dropped > 0) {
    notes.push(`${laid.dropped} ${laid.dropped === 1 ? "label" : "labels"} left out for want of room`);
  }
  return (
    <p class="drawing-notes">
      {paper ? "Scale" : "Scale about"} 1:{roundScale(perMetre)}, heights true{notes.length > 0 ? `; ${notes.join("; ")}` : ""}.
    </p>
  );
}

/** roundScale gives the N of 1:N for a screen of 96 pixels to the inch, to two figures. */
export function roundScale(perMetre: number): number {
  const n = 96 / 0.0254 / perMetre;
  return Number(n.toPrecision(2));
}

import { frame, type Composition, type Text } from "./compose";
import type { Part } from "./model";
import { box, lines, Path, ring } from "./paths";

interface WordsProps {
  laid: Composition;
  selected: Part | null;
  onSelect: ((p: Part) => void) | undefined;
}

/** Words are the texts beside the machine, with the lines to what they speak of. */
export function Words({ laid, selected, onSelect }: WordsProps) {
  const warnings = laid.texts.filter((t) => t.note.kind === "warning");
  const others = laid.texts.filter((t) => t.note.kind !== "warning");
  return (
    <>
      <Path kind="leader" d={lines(others.map((t) => t.leader))} />
      <Path kind="point" d={points(others.filter((t) => t.note.kind === "label"), 2)} />
      {warnings.length > 0 ? <Frames warnings={warnings} /> : null}
      {laid.texts.map((t) => (
        <Label key={t.note.id} text={t} lineHeight={laid.lineHeight} selected={t.note.part === selected} onSelect={onSelect} />
      ))}
    </>
  );
}

const points = (texts: Text[], radius: number) => texts.map((t) => ring(t.note.anchor, radius)).join("");

/** Frames are double around warnings. */
function Frames({ warnings }: { warnings: Text[] }) {
  const boxes = warnings.map((t) => t.box);
  return (
    <g class="warning">
      <Path kind="leader" d={lines(warnings.map((t) => t.leader))} />
      <Path kind="point" d={points(warnings, 3.2)} />
      <Path kind="danger-outer" d={boxes.map((b) => box(b.x + 0.5, b.y, b.width - 1, b.height)).join("")} />
      <Path kind="danger-inner" d={boxes.map((b) => box(b.x + 3, b.y + 2.5, b.width - 6, b.height - 5)).join("")} />
    </g>
  );
}

interface LabelProps {
  text: Text;
  lineHeight: number;
  selected: boolean;
  onSelect: WordsProps["onSelect"];
}

function Label({ text, lineHeight, selected, onSelect }: LabelProps) {
  const { note, box } = text;
  const end = note.side === "left";
  const inset = note.kind === "warning" ? frame + 2 : 3;
  const x = end ? box.x + box.width - inset : box.x + inset;
  const down = (line: number) => box.y + note.pad + lineHeight * (line + 0.76);
  const single = note.lines.length === 1; // an element of its own within the text would be one too many
  return (
    <text
      class={note.kind === "warning" ? "warning" : selected ? "selected" : undefined}
      text-anchor={end ? "end" : undefined}
      x={single ? x : undefined}
      y={single ? down(0) : undefined}
      onClick={onSelect ? () => onSelect(note.part) : undefined}
    >
      {single
        ? note.lines
        : note.lines.map((line, i) => (
            <tspan key={i} x={x} y={down(i)}>
              {line}
            </tspan>
          ))}
    </text>
  );
}

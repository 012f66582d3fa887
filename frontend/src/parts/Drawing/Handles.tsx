import type { Composition } from "./compose";
import type { Elevation, Part } from "./model";

/** The words for parts, as buttons on the drawing say them. */
export const partNames: Record<Part, string> = {
  site: "Site",
  supply: "Water supply",
  intake: "Intake",
  downcomer: "Downcomer",
  chamber: "Chamber",
  riser: "Riser",
  takeoff: "Air take-off",
  source: "Source",
  supply_pipe: "Supply pipe",
  ram: "Ram",
  lift: "Lift to a taller trompe",
  pulse: "Pulse booster",
  air_line: "Air line",
  receiver: "Receiver",
  uses: "What the air is for",
};

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

/** Selection lies under the part that is chosen. */
export function Selection({ drawing, laid, part }: { drawing: Elevation; laid: Composition; part: Part | null }) {
  const b = part && part !== "site" ? boxOf(drawing, laid, part, 16) : null;
  return b ? <rect class="selection" x={b.x - 5} y={b.y - 5} width={b.width + 10} height={b.height + 10} /> : null;
}

/** Small parts lie over large ones, so that each can be hit. */
const order: Part[] = ["ram", "lift", "source", "supply_pipe", "supply", "riser", "chamber", "downcomer", "intake", "takeoff", "pulse", "air_line", "uses", "receiver"];

interface HandlesProps {
  drawing: Elevation;
  laid: Composition;
  selected: Part | null;
  onSelect: (p: Part) => void;
}

/** Handles are the places of the parts as buttons, for a finger and for the keyboard. */
export function Handles({ drawing, laid, selected, onSelect }: HandlesProps) {
  return (
    <g class="handles">
      {order.map((part) => {
        const b = boxOf(drawing, laid, part, 44);
        const choose = () => onSelect(part);
        const key = (e: KeyboardEvent) => {
          if (e.key === "Enter" || e.key === " ") {
            e.preventDefault();
            choose();
          }
        };
        return b ? (
          <rect key={part} {...b} role="button" tabindex={0} aria-pressed={part === selected} aria-label={partNames[part]} onClick={choose} onKeyDown={key} />
        ) : null;
      })}
    </g>
  );
}

import type { Kind } from "./model";
import { ring } from "./paths";

const hatches: Partial<Record<Kind, string>> = { ground: "ground", water: "water", film: "water", mixture: "water", air: "air" };

/** fillOf names the hatch of an area, if it has one. */
export function fillOf(kind: Kind, id: string): string | undefined {
  const hatch = hatches[kind];
  return hatch && `url(#${id}-${hatch})`;
}

/** Patterns are the hatches of a drawing: water broken lines, air dots, ground diagonals. */
export function Patterns({ id }: { id: string }) {
  return (
    <defs>
      <pattern id={`${id}-water`} width="20" height="10" patternUnits="userSpaceOnUse">
        <path class="water-line" d="M0 3H12M10 8H20" />
      </pattern>
      <pattern id={`${id}-air`} width="8" height="8" patternUnits="userSpaceOnUse">
        <path class="air-dot" d={ring({ x: 2, y: 2 }, 1.15) + ring({ x: 6, y: 6 }, 1.15)} />
      </pattern>
      <pattern id={`${id}-ground`} width="9" height="9" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
        <path class="ground-line" d="M0 0V9" />
      </pattern>
    </defs>
  );
}

import type { Shape } from "./model";

/** fillOf names the hatches of a shape, from below to above. */
export function fillOf(shape: Pick<Shape, "kind">, id: string): string[] {
  switch (shape.kind) {
    case "ground":
      return [`${id}-ground`];
    case "water":
    case "film":
    case "mixture":
      return [`${id}-water`];
    case "air":
      return [`${id}-air`];
    default:
      return [];
  }
}

/** Patterns are the hatches of a drawing: water broken lines, air dots, ground diagonals. */
export function Patterns({ id }: { id: string }) {
  return (
    <defs>
      <pattern id={`${id}-water`} width="20" height="10" patternUnits="userSpaceOnUse">
        <path class="water-line" d="M0 3H12M10 8H20" />
      </pattern>
      <pattern id={`${id}-air`} width="8" height="8" patternUnits="userSpaceOnUse">
        <circle class="air-dot" cx="2" cy="2" r="1.15" />
        <circle class="air-dot" cx="6" cy="6" r="1.15" />
      </pattern>
      <pattern id={`${id}-ground`} width="9" height="9" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
        <path class="ground-line" d="M0 0V9" />
      </pattern>
    </defs>
  );
}

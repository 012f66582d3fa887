import type { Shape } from "./model";

/** How dense the dots of a mixture are, by the share of air in it. */
const densities = [0.1, 0.2, 0.3, 1] as const;

/** fillOf names the hatches of a shape, from below to above. */
export function fillOf(shape: Shape, id: string): string[] {
  switch (shape.kind) {
    case "ground":
      return [`${id}-ground`];
    case "water":
    case "film":
      return [`${id}-water`];
    case "air":
      return [`${id}-air`];
    case "mixture": {
      const void_ = shape.void ?? 0;
      const dense = densities.findIndex((d) => void_ <= d);
      return [`${id}-water`, ...(void_ > 0.001 ? [`${id}-bubbles-${dense}`] : [])];
    }
    default:
      return [];
  }
}

/** Spots of one tile of bubbles; a denser mixture shows more of them. */
const spots = [
  [2.5, 3],
  [7.5, 8],
  [4.5, 12.5],
  [8.5, 1.5],
  [1.5, 8],
  [5.2, 5.6],
] as const;

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
      {densities.map((_, dense) => (
        <pattern key={dense} id={`${id}-bubbles-${dense}`} width="10" height="15" patternUnits="userSpaceOnUse">
          {spots.slice(0, 2 + dense + (dense > 2 ? 1 : 0)).map(([x, y]) => (
            <circle key={`${x} ${y}`} class="bubble" cx={x} cy={y} r="1.25" />
          ))}
        </pattern>
      ))}
      <pattern id={`${id}-ground`} width="9" height="9" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
        <path class="ground-line" d="M0 0V9" />
      </pattern>
    </defs>
  );
}

import type { ComponentChildren } from "preact";

/** Sample is a mark of a chart beside the words that say what it stands for. */
export function Sample({ says, children }: { says: string; children: ComponentChildren }) {
  return (
    <li>
      <svg width={36} height={20} viewBox="0 0 36 20" aria-hidden="true" focusable="false">
        {children}
      </svg>
      {says}
    </li>
  );
}

/** Diagonals are the hatch of an area on a chart, leaning one way or the other. */
export function Diagonals({ id, lean = 45, apart = 8 }: { id: string; lean?: number; apart?: number }) {
  return (
    <pattern id={id} width={apart} height={apart} patternUnits="userSpaceOnUse" patternTransform={`rotate(${lean})`}>
      <path class="hatch" d={`M0 0V${apart}`} />
    </pattern>
  );
}

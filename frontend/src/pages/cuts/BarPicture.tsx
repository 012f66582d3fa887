import { boxesOf, type Box, type Same } from "./bars";

interface Props {
  same: Same;
  /** The longest bar of this pipe: it takes the whole width. */
  longest: number;
  kerf: number;
  trim: number;
}

const narrowest = 0.045; // share of the width that a number needs

/** BarPicture draws a bar to scale with its pieces numbered; what it says stands beside it in words. */
export function BarPicture({ same: { bar, runs }, longest, kerf, trim }: Props) {
  const share = (m: number) => `${((100 * m) / longest).toFixed(3)}%`;
  return (
    <svg class="bar" width="100%" height="34" aria-hidden="true" focusable="false">
      {boxesOf(bar, runs, kerf, trim).map((b) => (
        <g key={b.from}>
          <rect class={b.kind} x={share(b.from)} y="3" width={share(b.to - b.from)} height="28" />
          {b.label !== null && (b.to - b.from) / longest >= narrowest ? (
            <text x={share(middle(b))} y="22" text-anchor="middle">
              {b.label}
            </text>
          ) : null}
        </g>
      ))}
      <rect class="outline" x="0" y="3" width={share(bar.length_m)} height="28" />
    </svg>
  );
}

const middle = (b: Box) => (b.from + b.to) / 2;

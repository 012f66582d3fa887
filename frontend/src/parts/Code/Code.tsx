import { quiet, squares } from "./squares";
import "./code.css";

/** Code draws a QR code: dark on light on both grounds, since that is what cameras read. */
export function Code({ rows, leadsTo }: { rows: string[]; leadsTo: string }) {
  const size = rows.length + 2 * quiet;
  return (
    <svg class="code" viewBox={`0 0 ${size} ${size}`} role="img" aria-label={`QR code that leads to ${leadsTo}`} shape-rendering="crispEdges">
      <rect width={size} height={size} />
      <path d={squares(rows)} />
    </svg>
  );
}

import { useId } from "preact/hooks";
import { useUnits } from "../../system";
import type { Basis } from "./basis";
import { fieldAt } from "./basis";
import { Hatches } from "./Hatches";
import { Origins } from "./Origin";
import type { Numbers } from "./say";

interface WindowProps {
  n: Numbers;
  basis: Basis;
}

const size = { width: 280, height: 200 };
const zone = { floods: 84, open: 108 }; // px; blowing off takes the rest
const base = 158; // px from the top to no air
const tall = 108; // px for all the air

/** Window shows the air against the pressure of delivery: a step, and why. */
export function Window({ n, basis }: WindowProps) {
  const units = useUnits();
  const air = n.delivery_curve.map((d) => d.free_air_m3s);
  const most = Math.max(0, ...air);
  if (most <= 0) {
    return null;
  }
  const [low, high] = [units.write(n.lowest_delivery_gauge_pa, "pressure"), units.write(n.blow_off_gauge_pa, "pressure")];
  const list = ["/delivery_curve/gauge_pa", "/delivery_curve/free_air_m3s", "/delivery_curve/water_flow_m3s", "/lowest_delivery_gauge_pa", "/blow_off_gauge_pa"].flatMap((at) => {
    const f = fieldAt(basis.outputs, at);
    return f ? [{ f, name: f.about }] : [];
  });
  return (
    <section aria-label="The window of delivery">
      <h3>A step, not a slope</h3>
      <Picture n={n} most={most} />
      <p>
        Between {low} and {high} the machine gives the same air from the same water, whatever the receiver asks. The downcomer ends under water, and there the level of the outlet sets
        the pressure, not the receiver. Above {high} all air escapes under the riser’s lip; below {low} the water has risen to the highest level you allow, and would follow the air out.
      </p>
      <p class="small quiet">
        The window is as wide as the water may rise in the chamber. The pressure axis begins just below it, not at 0. The ring is this machine with its take-off as given.
        {bends(n) ? " The line bends, because the downcomer ends above the water at times." : ""}
      </p>
      <details class="fold">
        <summary>The same as a table</summary>
        <Table n={n} />
      </details>
      <Origins title="Where these come from" list={list} basis={basis} n={n} />
    </section>
  );
}

function Picture({ n, most }: { n: Numbers; most: number }) {
  const id = useId().replaceAll(":", "");
  const units = useUnits();
  const span = Math.max(n.blow_off_gauge_pa - n.lowest_delivery_gauge_pa, 1e-9);
  const x = (pa: number) => zone.floods + Math.min(1, Math.max(0, (pa - n.lowest_delivery_gauge_pa) / span)) * zone.open;
  const y = (q: number) => base - (q / most) * tall;
  const points = n.delivery_curve.filter((d) => d.free_air_m3s > 0);
  const line = points.map((d, i) => `${i === 0 ? "M" : "L"}${x(d.gauge_pa).toFixed(1)} ${y(d.free_air_m3s).toFixed(1)}`).join("");
  const end = zone.floods + zone.open;
  const about = `Free air against pressure: ${units.write(most, "free_air")} between ${units.write(n.lowest_delivery_gauge_pa, "pressure")} and ${units.write(n.blow_off_gauge_pa, "pressure")}, none outside.`;
  return (
    <svg class="chart" viewBox={`0 0 ${size.width} ${size.height}`} width={size.width} height={size.height} role="img" aria-label={about}>
      <Hatches id={id} />
      <rect x={0} y={base - tall - 8} width={zone.floods} height={tall + 8} fill={`url(#${id}-water)`} />
      <rect x={end} y={base - tall - 8} width={size.width - end} height={tall + 8} fill={`url(#${id}-bubbles)`} />
      <path class="axis" d={`M0 ${base}H${size.width}`} />
      <path class="limit" d={`M${zone.floods} ${base + 6}V${y(points[0]?.free_air_m3s ?? most)}`} />
      <path class="curve" d={`${line}V${base}`} />
      <path class="axis" d={`M${end} ${base}v6`} />
      <circle class="here" cx={x(n.chamber_gauge_pa)} cy={y(n.free_air_delivered_m3s)} r={6} />
      <Words x={zone.floods / 2} y={base - tall / 2} text="floods" />
      <Words x={end + (size.width - end) / 2} y={base - tall / 2} text="blows off" />
      <text x={zone.floods + zone.open / 2} y={base - tall - 14} text-anchor="middle" class="strong">
        {units.write(most, "free_air")}
      </text>
      <text x={zone.floods} y={base + 26} text-anchor="middle">
        {units.write(n.lowest_delivery_gauge_pa, "pressure")}
      </text>
      <text x={end} y={base + 26} text-anchor="middle">
        {units.write(n.blow_off_gauge_pa, "pressure")}
      </text>
    </svg>
  );
}

/** Words stand on a hatch with the sheet behind them. */
function Words({ x, y, text }: { x: number; y: number; text: string }) {
  return (
    <g>
      <rect class="ground" x={x - 40} y={y - 16} width={80} height={22} />
      <text x={x} y={y} text-anchor="middle">
        {text}
      </text>
    </g>
  );
}

function bends(n: Numbers): boolean {
  const air = n.delivery_curve.map((d) => d.free_air_m3s).filter((q) => q > 0);
  return Math.min(...air) < 0.99 * Math.max(...air);
}

function Table({ n }: { n: Numbers }) {
  const units = useUnits();
  return (
    <table class="profile">
      <thead>
        <tr>
          <th scope="col">water in the chamber</th>
          <th scope="col">pressure</th>
          <th scope="col">free air</th>
          <th scope="col">water</th>
        </tr>
      </thead>
      <tbody>
        {n.delivery_curve.map((d, i) => (
          <tr key={i}>
            <td>{units.write(d.chamber_level_m, "level")}</td>
            <td>{units.write(d.gauge_pa, "pressure")}</td>
            <td>{units.write(d.free_air_m3s, "free_air")}</td>
            <td>{units.write(d.water_flow_m3s, "flow")}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

import { useId } from "preact/hooks";
import type { Sheet } from "./compose";
import type { Bundle } from "./model";
import { Patterns, fillOf } from "./patterns";
import "./drawing.css";

const size = 168; // px, with the edge
const radius = 80; // px, of the circle around the tubes

interface PlanProps {
  bundle: Bundle;
  write: Sheet["write"];
}

/** Plan shows the air tubes of one intake from above, with what they leave for the water. */
export function Plan({ bundle, write }: PlanProps) {
  const id = useId().replaceAll(":", "");
  const perMetre = (2 * radius) / bundle.round_m;
  const outside = (bundle.tube_od_m / 2) * perMetre;
  const inside = (bundle.tube_id_m / 2) * perMetre;
  const hatches = bundle.tubes.length > 0 ? (["water"] as const) : (["water", "air"] as const);
  const at = (x = 0) => (size / 2 + x * perMetre).toFixed(1);
  const about = `Intake from above: ${bundle.count} air ${bundle.count === 1 ? "tube" : "tubes"}`;
  return (
    <figure class="drawing plan">
      <svg width={size} height={size} viewBox={`0 0 ${size} ${size}`} role="img" aria-label={about}>
        <Patterns id={id} />
        <circle class="inside" cx={size / 2} cy={size / 2} r={radius} />
        {hatches.flatMap((kind) => fillOf({ kind }, id)).map((fill) => (
          <circle key={fill} cx={size / 2} cy={size / 2} r={radius} fill={`url(#${fill})`} />
        ))}
        <circle class="outline" cx={size / 2} cy={size / 2} r={radius} />
        {bundle.tubes.map(([x, y], i) => (
          <g key={i}>
            <circle class="tube-wall" cx={at(x)} cy={at(y)} r={outside.toFixed(2)} />
            {outside - inside > 1 ? <circle class="tube-bore" cx={at(x)} cy={at(y)} r={inside.toFixed(2)} /> : null}
          </g>
        ))}
      </svg>
      <figcaption>
        <b>{about}</b>, {write(bundle.tube_id_m, "bore")} inside, {write(bundle.tube_od_m, "bore")} outside, in {write(bundle.round_m, "bore")}. They fill{" "}
        {bundle.fill.toFixed(2)} of it; the rest is for the water.
        {bundle.notes.map((note) => ` ${note.charAt(0).toUpperCase()}${note.slice(1)}.`)}
      </figcaption>
    </figure>
  );
}

import { useId } from "preact/hooks";
import type { Sheet } from "./compose";
import type { Bundle } from "./model";
import { Path, ring } from "./paths";
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
  const at = (x = 0) => size / 2 + x * perMetre;
  const rounds = (r: number) => bundle.tubes.map(([x, y]) => ring({ x: at(x), y: at(y) }, r)).join("");
  const about = `Intake from above: ${bundle.count} air ${bundle.count === 1 ? "tube" : "tubes"}`;
  return (
    <figure class="drawing plan">
      <svg width={size} height={size} viewBox={`0 0 ${size} ${size}`} role="img" aria-label={about}>
        <Patterns id={id} />
        <circle class="inside" cx={size / 2} cy={size / 2} r={radius} />
        {hatches.map((kind) => (
          <circle key={kind} cx={size / 2} cy={size / 2} r={radius} fill={fillOf(kind, id)} />
        ))}
        <circle class="outline" cx={size / 2} cy={size / 2} r={radius} />
        <Path kind="tube-wall" d={rounds(outside)} />
        <Path kind="tube-bore" d={outside - inside > 1 ? rounds(inside) : ""} />
      </svg>
      <figcaption>
        <b>{about}</b>, {write(bundle.tube_id_m, "bore")} inside, {write(bundle.tube_od_m, "bore")} outside, in {write(bundle.round_m, "bore")}. They fill{" "}
        {bundle.fill.toFixed(2)} of it; the rest is for the water.
        {bundle.notes.map((note) => ` ${note.charAt(0).toUpperCase()}${note.slice(1)}.`)}
      </figcaption>
    </figure>
  );
}

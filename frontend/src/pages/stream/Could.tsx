import { could, share } from "./flow";

interface CouldProps {
  flow: number;
  fall: number;
  depth: number;
  write: (value: number, use: "level" | "flow" | "free_air" | "pressure") => string;
}

/** Below this power of the water nothing that is worth the glue comes out. Common judgement, no source. */
const drizzle_w = 5;
/** A step deeper, to see what depth buys. */
const deeper_m = 0.5;

/** Could says what the stream would give to a trompe, as a range. */
export function Could({ flow, fall, depth, write }: CouldProps) {
  const air = (q: number) => write(Number(q.toPrecision(2)), "free_air");
  const bar = (p: number) => write(Number(p.toPrecision(2)), "pressure");
  const here = could(flow, fall, depth);
  const dug = could(flow, fall, depth + deeper_m);
  if (here.water_w < drizzle_w) {
    return (
      <p>
        <b>Next to nothing.</b> All this water has {here.water_w.toFixed(1)} W. It shows how a machine works, and drives none. More fall or more water is needed: ten times either is a
        beginning.
      </p>
    );
  }
  return (
    <>
      <p class="could">
        <b>
          {air(here.air_low_m3s)} to {air(here.air_high_m3s)} of air at {bar(here.gauge_pa)}
        </b>
        ; dig {write(deeper_m, "level")} deeper for {bar(dug.gauge_pa)}, with {air(dug.air_low_m3s)} to {air(dug.air_high_m3s)}.
      </p>
      <p class="small quiet">
        The water has {here.water_w.toFixed(0)} W; a trompe gives {100 * share.low} to {100 * share.high} % of that to the air. Free air, as it is drawn in. Worked out on this phone; with signal,
        “What can my site give?” tries real machines.
      </p>
    </>
  );
}

import type { Schema } from "../../api/client";
import { useUnits } from "../../system";
import { givenIn, numberAt, type Basis } from "./basis";
import { nameOf } from "./fields";

/** What to change, the likeliest first, for each way in which a machine does not work. */
const changes: Partial<Record<Schema<"TrompeStatus">, [string, string][]>> = {
  no_head: [["/riser/outlet_m", "lower it"], ["/supply/level_m", "raise the water"], ["/supply/level_max_m", "raise the header"], ["/supply/static_pa", "needs more pressure, or a lower header"], ["/riser/k_minor", "fewer or wider bends"]],
  no_operating_point: [["/riser/outlet_m", "lower it, or deepen the chamber"], ["/downcomer/bore_m", "try one size up and one size down"], ["/intake/n_tubes", "fewer tubes leave more room for water"]],
  blocked: [["/intake/n_tubes", "fewer air tubes"], ["/intake/tube_id_m", "narrower ones"], ["/supply/flow_max_m3s", "needs more water"], ["/intake/mouth_m", "lower the tubes’ ends: more water over them"]],
  not_carried: [["/downcomer/bore_m", "a narrower pipe makes the water faster"], ["/intake/mouth_m", "lower the tubes’ ends: more water over them"], ["/intake/n_tubes", "fewer tubes leave more room for water"], ["/supply/flow_max_m3s", "needs more water"]],
  choked: [["/downcomer/bore_m", "a wider pipe"], ["/riser/outlet_m", "raise it: less fall"]],
  cavitation: [["/intake/n_tubes", "more air tubes"], ["/intake/tube_id_m", "wider ones"], ["/intake/port_cda_m2", "open the common port"]],
  starved: [["/downcomer/bore_m", "a narrower pipe takes less water"], ["/intake/n_tubes", "more tubes leave less room for water"], ["/supply/flow_max_m3s", "needs more water"], ["/intake/mouth_m", "raise the tubes’ ends: less water over them"]],
  out_of_range: [["/riser/outlet_m", "raise it: less fall to spare"], ["/downcomer/outlet_m", "deepen the machine"], ["/downcomer/length_m", "set the pipe steeper than 30°"], ["/downcomer/bore_m", "a narrower pipe needs less length to run full"]],
};

interface ReasonProps {
  stopped: Schema<"TrompeStopped">;
  basis: Basis;
  /** The fields stand on this page, so that links can go there. */
  linked: boolean;
}

/** Reason says what to change in a machine that has no operating point. */
export function Reason({ stopped, basis, linked }: ReasonProps) {
  const units = useUnits();
  const list = (changes[stopped.status] ?? []).flatMap(([at, advice]) => givenIn(basis, [at], units).map((g) => ({ ...g, advice })));
  return (
    <>
      <Fall basis={basis} />
      {list.length > 0 ? (
        <>
          <h3>What to try, one at a time</h3>
          <ul>
            {list.map((g) => (
              <li key={g.at}>
                {linked ? <a href={`#${nameOf(g.at)}`}>{g.label}</a> : g.label}, now {g.text}: {g.advice}.
              </li>
            ))}
          </ul>
        </>
      ) : null}
      <p class="quiet">There are no numbers to show: no steady flow of water and air would keep this machine going. The sheet can be saved all the same.</p>
    </>
  );
}

/** Fall says how far the water would fall, where the input alone tells. */
function Fall({ basis }: { basis: Basis }) {
  const units = useUnits();
  const level = numberAt(basis.input, "/supply/level_m") ?? numberAt(basis.input, "/supply/level_max_m");
  const outlet = numberAt(basis.input, "/riser/outlet_m");
  if (level === null || outlet === null) {
    return null;
  }
  const fall = level - outlet;
  const words = fall > 0 ? `${units.write(fall, "level")} above the outlet of the riser` : fall < 0 ? `${units.write(-fall, "level")} below the outlet of the riser` : "as high as the outlet of the riser";
  return <p>As typed, the water stands {words}.</p>;
}

import { useState } from "preact/hooks";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { Drawing } from "../../parts/Drawing/Drawing";
import { useUnits } from "../../system";
import { pipeLine, say, write } from "./say";
import { StartDraft } from "./StartDraft";

/** Proposal is one machine: its numbers, why this one, its elevation, and the way to a draft. */
export function Proposal({ number, proposal: p, account, project }: { number: number; proposal: Schema<"Proposal">; account: number; project: number | null }) {
  const units = useUnits();
  const [starting, setStarting] = useState(false);
  const name = `${write(p.free_air_m3s, "air", units)} at ${write(p.gauge_pa, "pressure", units)}`;
  return (
    <li>
      <h3>
        {number}. {name}
      </h3>
      <p>{say(p.why, units)}</p>
      <div class="proposal">
        <Thin proposal={p} about={`Machine ${number}: ${name}`} />
        <div>
          <dl>
            <Row of="Water used" value={write(p.water_m3s, "water", units)} />
            <Row of="Hole, below the lower water" value={p.dug_m > 0 ? `${write(p.dug_m, "height", units)} deep` : "none"} />
            <Row of="Rise, which makes the pressure" value={write(p.rise_m, "height", units)} />
            <Row of="Fall left to drive it" value={write(p.head_m, "height", units)} />
            <Row of="Of the water’s power, in air" value={units.write(p.efficiency, "percent")} />
          </dl>
          <ul class="pipes">
            {p.pipes.map((pipe) => (
              <li key={pipe.part}>{pipeLine(pipe, units)}</li>
            ))}
            <li class="quiet">Together {write(p.wall_m3, "plastic", units)} of plastic.</li>
          </ul>
        </div>
      </div>
      {p.warnings.length > 0 ? (
        <details>
          <summary>What to watch ({p.warnings.length})</summary>
          {p.warnings.map((w) => (
            <p key={w.code}>{w.message}</p>
          ))}
        </details>
      ) : null}
      {starting ? (
        <StartDraft account={account} project={project} proposal={p} number={number} />
      ) : (
        <button type="button" aria-label={`Start a draft from machine ${number}`} onClick={() => setStarting(true)}>
          Start a draft from this
        </button>
      )}
    </li>
  );
}

function Row({ of, value }: { of: string; value: string }) {
  return (
    <div>
      <dt>{of}</dt>
      <dd>{value}</dd>
    </div>
  );
}

/** Thin is the elevation of a proposal; the list says the same in words, so nothing is said when it can't be fetched. */
function Thin({ proposal: p, about }: { proposal: Schema<"Proposal">; about: string }) {
  const { write } = useUnits();
  const { loaded } = useLoad(() => ask(api.POST("/api/v1/preview", { body: { input: { trompe: p.trompe } } })), [JSON.stringify(p.trompe)]);
  const drawing = loaded.state === "here" ? loaded.data.drawing : null;
  return <div class="thin-drawing">{drawing ? <Drawing drawing={drawing} about={about} height={260} short write={write} /> : null}</div>;
}

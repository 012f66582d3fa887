import { Link } from "wouter-preact";
import type { Schema } from "../../api/client";
import { Stamp } from "../../parts/Stamp/Stamp";
import { useUnits } from "../../system";
import { stateWords } from "../sheet/states";
import { Level } from "./Fall";
import { saySheet, sayWarnings } from "./sentences";

/** DesignLevel lists the designs of the machine with what each one's newest sheet predicts. */
export function DesignLevel({ project: p }: { project: Schema<"Project"> }) {
  const may = p.allowed_actions.includes("start_design");
  const known = p.site.changed_at !== null;
  const predicted = p.designs.some((d) => d.newest?.answer.free_air_delivered_m3s != null);
  return (
    <Level name="Design" reached={p.designs.length > 0} aired={predicted}>
      {p.designs.length === 0 ? (
        <p>
          {known
            ? "No machine is drawn yet. The notebook works out what one would do each time its sheet is saved."
            : "A design may be started now and filled in when the site is known."}
        </p>
      ) : (
        <ul class="designs">
          {p.designs.map((d) => (
            <DesignLine key={d.id} project={p.id} design={d} />
          ))}
        </ul>
      )}
      {may ? (
        <Link href={`/projects/${p.id}/designs/new`} class={known && p.designs.length === 0 ? "do" : "do second"}>
          {p.designs.length === 0 ? "Start a design" : "Start another design"}
        </Link>
      ) : null}
    </Level>
  );
}

function DesignLine({ project, design: d }: { project: number; design: Schema<"DesignHead"> }) {
  const units = useUnits();
  return (
    <li>
      <Link href={`/projects/${project}/designs/${d.id}`} class="open">
        <b>{d.title}</b>
        <span>
          Revision {d.revision.letter} <Stamp word={stateWords[d.revision.state]} danger={d.revision.state === "withdrawn"} />
        </span>
      </Link>
      <p>
        {saySheet(d.newest, units)} <span class="quiet">{sayWarnings(d.newest)}</span>
      </p>
    </li>
  );
}

import { Link } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { useUnits } from "../../system";
import { day } from "../../words";
import { sayGauged, sayGaugedWhen, type Gauging } from "./gaugings";

/** Gaugings lists every gauging of a site, the one that counts first. */
export function Gaugings({ site }: { site: Schema<"Site"> }) {
  const params = { path: { project: site.project }, query: { limit: 100 } };
  const { loaded, again } = useLoad(() => ask(api.GET("/api/v1/projects/{project}/site/gaugings", { params })), [site.project, site.version]);
  const may = site.allowed_actions.includes("describe_site");
  if (!site.gauging) {
    return null;
  }
  return (
    <section class="gaugings" aria-label="Gaugings of the flow">
      <h2>The flow, as gauged</h2>
      <p>The one recorded last counts. Each is kept as it is, and no sheet changes because of a new one: its page says that there is one.</p>
      {may ? (
        <div class="row">
          <Link class="do second" href={`/projects/${site.project}/site/gaugings/new`}>
            Record a new gauging
          </Link>
          <Link class="do second" href="/stream">
            Time a bucket at the stream
          </Link>
        </div>
      ) : null}
      {loaded.state === "failed" ? <TroubleNote trouble={loaded.trouble} again={again} /> : null}
      <ol>
        {(loaded.state === "here" ? loaded.data.items : [site.gauging]).map((g, i) => (
          <Line key={g.id} gauging={g} counts={i === 0} />
        ))}
      </ol>
    </section>
  );
}

function Line({ gauging: g, counts }: { gauging: Gauging; counts: boolean }) {
  const units = useUnits();
  return (
    <li>
      <p>
        <b>{sayGauged(g, units)}</b>, {sayGaugedWhen(g)}
        {counts ? " (counts now)" : ""}
      </p>
      {g.how ? <p>{g.how}</p> : null}
      {g.note ? <p>{g.note}</p> : null}
      <p class="small quiet">
        Recorded by {g.recorded_by.name}, {day(g.recorded_at)}
      </p>
    </li>
  );
}

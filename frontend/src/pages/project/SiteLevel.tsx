import { Link } from "wouter-preact";
import type { Schema } from "../../api/client";
import { useUnits } from "../../system";
import { Level } from "./Fall";
import { lackingOf, sayLacking, saySite } from "./sentences";

/** SiteLevel is the headwater: what the place gives. */
export function SiteLevel({ project: p }: { project: Schema<"Project"> }) {
  const units = useUnits();
  const described = p.site.changed_at !== null;
  const may = p.site.allowed_actions.includes("describe_site");
  const first = !described || (lackingOf(p.site).length > 0 && p.designs.length === 0);
  return (
    <Level name="Site" place="headwater" reached={described}>
      {described ? (
        <p>
          {saySite(p.site, units)} <span class="quiet">{sayLacking(p.site)}</span>
        </p>
      ) : (
        <p>What falls here, how far, and how much of it? Nobody has said yet, and everything below hangs on it.</p>
      )}
      {p.site.gauged ? <p class="quiet small">Gauged: {p.site.gauged}</p> : null}
      <div class="row">
        {may ? (
          <Link href={`/projects/${p.id}/site`} class={first ? "do" : "do second"}>
            {described ? (first ? "Say what is lacking" : "Change the site") : "Describe the site"}
          </Link>
        ) : null}
        {p.site.fall_m && p.site.flow_m3s ? (
          <Link href={`/site?project=${p.id}`} class="do second">
            What can this site give?
          </Link>
        ) : null}
      </div>
    </Level>
  );
}

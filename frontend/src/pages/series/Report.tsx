import { useUnits } from "../../system";
import { when } from "../../words";
import type { SeriesFile } from "./fetch";
import { oddOf, oddOfChannel, sayChannel, sayFile } from "./found";

/** ReportOf says how a file was read, and what was odd about it. */
export function ReportOf({ read }: { read: NonNullable<SeriesFile["read"]> }) {
  const units = useUnits();
  const { report, asked } = read;
  const odd = oddOf(report);
  const oddChannels = report.channels.map((c) => ({ c, odd: oddOfChannel(c, report, units) })).filter((x) => x.odd.length > 0);
  const answered = [...Object.entries(asked.units).map(([name, unit]) => `${name} is in ${unit}`), asked.zone ? `dates are of ${asked.zone}` : "", asked.time ? `the times are in ${asked.time}` : "", asked.without.length > 0 ? `left out: ${asked.without.join(", ")}` : ""].filter(Boolean);
  return (
    <section aria-labelledby="report-title">
      <h2 id="report-title">What the reader found</h2>
      <p>
        {sayFile(report)} {report.start ? `It begins ${when(report.start)}.` : "It counts from a start that it does not tell."}
      </p>
      <ul>
        {report.channels.map((c) => (
          <li key={c.name}>
            <b>{c.name}</b>, {sayChannel(c)}
          </li>
        ))}
      </ul>
      {odd.length + oddChannels.length === 0 ? (
        <p>Nothing odd was found: no gaps, no stuck sensor, nothing missing.</p>
      ) : (
        <div class="warn">
          <p>
            <b>Look at this:</b>
          </p>
          <ul>
            {odd.map((o) => (
              <li key={o}>{o}</li>
            ))}
            {oddChannels.flatMap(({ c, odd: list }) =>
              list.map((o) => (
                <li key={`${c.name} ${o}`}>
                  <b>{c.name}:</b> {o}
                </li>
              )),
            )}
          </ul>
        </div>
      )}
      {answered.length > 0 ? <p class="small quiet">Said when it was read: {answered.join("; ")}.</p> : null}
      {read.certified ? null : <p class="note">The machine had no valid certificate all the time from the begin of this file until it was read. What it says of pressure and air is kept and marked, and never counts.</p>}
      <p class="small quiet">
        Read by {read.read_by.name}, {when(read.read_at)}. SHA-256 <span class="digest">{report.digest}</span>
      </p>
    </section>
  );
}

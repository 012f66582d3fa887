import { useLoad } from "../../api/load";
import { Code } from "../../parts/Code/Code";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";
import { useUnits, type Units } from "../../system";
import { day } from "../../words";
import { buildPath, fetchBuild, type Build, type BuildAddress } from "../build/fetch";
import { tagName } from "../build/states";
import { hasNumbers } from "../sheet/say";
import "./page.css";

/** LabelPage is the label of a machine, to be printed and stuck on it. */
export default function LabelPage(address: BuildAddress) {
  const { loaded, again } = useLoad<Build>(() => fetchBuild(address), [address.project, address.build]);
  const build = loaded.state === "here" ? loaded.data : null;
  const trail = [
    { href: "/projects", name: "Projects" },
    { href: `/projects/${address.project}`, name: "Project" },
    { href: buildPath(address), name: build ? `${tagName(build.tag)}, ${build.title}` : "Machine" },
  ];
  return (
    <PageFrame title="Label to print" trail={trail} key={build ? "here" : "waiting"}>
      {build ? (
        <>
          <p class="off-paper">
            Print it at full size, on A4 or Letter, cut along the outer line, put it under something clear that keeps water off, and fix it where one stands to open the air valve. Print it anew when the
            certificate changes: the code goes on leading to the page that knows.
          </p>
          <div class="row off-paper">
            <button type="button" onClick={() => print()}>
              Print the label
            </button>
          </div>
          <Label build={build} />
        </>
      ) : (
        <Waiting loaded={loaded} again={again} />
      )}
    </PageFrame>
  );
}

function Label({ build }: { build: Build }) {
  const units = useUnits();
  const { valid } = build.certificate;
  const pressure = workingPressure(build, units);
  return (
    <section class="label" aria-label={`Label of machine ${tagName(build.tag)}`}>
      <div class="label-code">
        <Code rows={build.label.rows} leadsTo={build.label.url} />
        <p>{build.label.url.replace(/^https?:\/\//, "")}</p>
      </div>
      <div class="label-words">
        <p class="label-tag">{tagName(build.tag)}</p>
        <p>
          <b>{build.title}</b>
        </p>
        <p>
          {build.design_title}, revision {build.letter}
          {build.newest > 1 ? `, as changed ${day(build.now.made_at)}` : ""}
        </p>
        <p>{build.place}</p>
        {valid ? null : <p class="label-never">Do not pressurise</p>}
        {pressure === null ? null : valid ? (
          <p>
            Working pressure <b>{pressure}</b>
          </p>
        ) : (
          <p>Drawn for {pressure}. It has no valid certificate.</p>
        )}
        <p class="label-small">As of {day(new Date().toISOString())}. Scan before each use: the page says whether it may be under pressure today. Air not for breathing.</p>
      </div>
    </section>
  );
}

/** workingPressure is the highest steady pressure that the machine is to work at; null where it has none. */
function workingPressure(build: Build, units: Units): string | null {
  const r = build.now.report.trompe;
  return r && hasNumbers(r) ? units.write(Math.max(r.chamber_gauge_pa, r.blow_off_gauge_pa), "pressure") : null;
}

import { api, ask, type Answer, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { Code } from "../../parts/Code/Code";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";
import { useUnits, type Units } from "../../system";
import { toBase, unitNamed } from "../../units";
import { day } from "../../words";
import { buildPath, fetchBuild, type Build, type BuildAddress } from "../build/fetch";
import { tagName } from "../build/states";
import { hasNumbers } from "../sheet/say";
import "./page.css";

interface Labelled {
  build: Build;
  certificate: Schema<"Certificate"> | null;
}

async function fetchLabelled(address: BuildAddress): Promise<Answer<Labelled>> {
  const [build, all] = await Promise.all([
    fetchBuild(address),
    ask(api.GET("/api/v1/projects/{project}/builds/{build}/certificate", { params: { path: address, query: { limit: 1 } } })),
  ]);
  if (!build.ok) {
    return build;
  }
  return all.ok ? { ...build, data: { build: build.data, certificate: all.data.certificate } } : all;
}

/** LabelPage is the label of a machine, to be printed and stuck on it. */
export default function LabelPage(address: BuildAddress) {
  const { loaded, again } = useLoad<Labelled>(() => fetchLabelled(address), [address.project, address.build]);
  const here = loaded.state === "here" ? loaded.data : null;
  const build = here?.build;
  const trail = [
    { href: "/projects", name: "Projects" },
    { href: `/projects/${address.project}`, name: "Project" },
    { href: buildPath(address), name: build ? `${tagName(build.tag)}, ${build.title}` : "Machine" },
  ];
  return (
    <PageFrame title="Label to print" trail={trail} key={here ? "here" : "waiting"}>
      {here ? (
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
          <Label {...here} />
        </>
      ) : (
        <Waiting loaded={loaded} again={again} />
      )}
    </PageFrame>
  );
}

function Label({ build, certificate }: Labelled) {
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
        <Pressure build={build} certificate={build.certificate.valid && certificate?.valid ? certificate : null} />
        <p class="label-small">As of {day(new Date().toISOString())}. Scan before each use: the page says whether it may be under pressure today. Air not for breathing.</p>
      </div>
    </section>
  );
}

/** Pressure says at what pressure the machine works while a certificate holds; else that it must have none. */
function Pressure({ build, certificate }: Labelled) {
  const units = useUnits();
  if (!certificate) {
    const drawn = drawnFor(build, units);
    return (
      <>
        <p class="label-never">Do not pressurise</p>
        <p>
          {drawn === null ? "" : `Drawn for ${drawn}. `}It has no valid certificate.
        </p>
      </>
    );
  }
  const work = certificate.body["p_work_bar"];
  return (
    <>
      {typeof work === "number" ? (
        <p>
          Working pressure, at most <b>{units.write(toBase(work, unitNamed("pressure", "bar")), "pressure")}</b>
        </p>
      ) : null}
      <p>
        Certificate no. {certificate.id}, good until the end of <b>{day(certificate.expires_on)}</b>. After that: do not pressurise.
      </p>
    </>
  );
}

/** drawnFor is the highest steady pressure that the machine is drawn for; null where it has none. */
function drawnFor(build: Build, units: Units): string | null {
  const r = build.now.report.trompe;
  return r && hasNumbers(r) ? units.write(Math.max(r.chamber_gauge_pa, r.blow_off_gauge_pa), "pressure") : null;
}

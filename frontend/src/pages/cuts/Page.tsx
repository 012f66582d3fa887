import { useEffect, useState } from "preact/hooks";
import { Link } from "wouter-preact";
import { useLoad } from "../../api/load";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { TitleBlock } from "../../parts/TitleBlock/TitleBlock";
import { Waiting } from "../../parts/Trouble/Waiting";
import type { KeptAddress } from "../../router";
import { useUnits } from "../../system";
import { understand } from "../../typed";
import { listed, when } from "../../words";
import { sheetPath, writeRef } from "../sheet/refs";
import { unitOf } from "../stock/facts";
import { Buy } from "./Buy";
import { CuttingPlan } from "./CuttingPlan";
import { Downloads } from "./Downloads";
import { fetchReady, type Lengths, type Ready } from "./fetch";
import { PartsList } from "./PartsList";
import { keepSaw, keptSaw, type Saw } from "./saw";
import { SawFields } from "./SawFields";
import "./page.css";

const settled = 500; // ms after the last key

/** CutsPage is what to buy and cut for a sheet, with the stock list as it is now. */
export default function CutsPage({ project, sheet }: KeptAddress) {
  const units = useUnits();
  const [saw, setSaw] = useState(() => keptSaw(units.system));
  const asked = useSettled(lengthsOf(saw));
  const { loaded, again } = useLoad<Ready>(() => fetchReady(project, sheet, asked), [project, writeRef(sheet), asked.kerf_m, asked.trim_m]);
  const here = loaded.state === "here" ? loaded.data : null;
  const design = here?.project.designs.find((d) => d.id === sheet.design);
  const change = (next: Saw) => {
    setSaw(next);
    keepSaw(next);
  };
  return (
    <PageFrame
      title={`What to buy and cut, ${sheet.letter}.${sheet.number}`}
      trail={[
        { href: "/projects", name: "Projects" },
        { href: `/projects/${project}`, name: here?.project.title ?? "Project" },
        { href: `/projects/${project}/designs/${sheet.design}`, name: design?.title ?? "Design" },
        { href: sheetPath(project, sheet), name: `Sheet ${sheet.letter}.${sheet.number}` },
      ]}
      wide
    >
      {here ? (
        <div class="cuts">
          {here.cuts.rows.length === 0 ? (
            <NoParts project={project} design={sheet.design} />
          ) : (
            <>
              <p class="off-paper">
                Held against the <Link href="/stock">stock list</Link> as it is now: what is at hand is used where it saves a length to buy. What changes there changes here; the sheet stays as it
                was saved.
              </p>
              <div class="row off-paper">
                <Downloads project={project} sheet={sheet} saw={asked} />
                <button type="button" class="second" onClick={() => print()}>
                  Print
                </button>
              </div>
              {here.cuts.barred.length > 0 ? (
                <p class="warn barred">
                  <b>Not allowed as drawn: {listed(here.cuts.barred)}.</b> Buy and cut nothing for it before that is put right. <Link href={sheetPath(project, sheet)}>The sheet</Link>{" "}
                  says why, and what would be allowed. Local codes and licensed practice go first.
                </p>
              ) : null}
              <Buy cuts={here.cuts} names={here.stock.names} />
              <CuttingPlan plan={here.cuts.plan} stock={here.stock}>
                <SawFields saw={saw} onSaw={change} />
              </CuttingPlan>
              <PartsList rows={here.cuts.rows} />
            </>
          )}
          <TitleBlock
            boxes={[
              { name: "project", value: here.project.title, wide: true },
              { name: "sheet", value: `${sheet.letter}.${sheet.number}` },
              { name: "design", value: design?.title ?? "", wide: true },
              { name: "stock list of", value: when(new Date().toISOString()), wide: true },
              { name: "units", value: units.line, wide: true },
            ]}
          />
        </div>
      ) : (
        <Waiting loaded={loaded} again={again} />
      )}
    </PageFrame>
  );
}

function NoParts({ project, design }: { project: number; design: number }) {
  return (
    <p>
      No part of this machine is described yet, so there is nothing to buy or to cut. <Link href={`/projects/${project}/designs/${design}`}>Describe its parts in the sheet</Link>{" "}
      and save it: pipes by their line of the catalogue, with how they are joined.
    </p>
  );
}

/** lengthsOf reads the saw; what is not understood or out of range counts as none, and is said at its field. */
function lengthsOf(saw: Saw): Lengths {
  const read = (field: "kerf" | "trim", most: number) => {
    const u = understand(saw[field], unitOf(field, saw.units));
    return u.kind === "value" && u.base >= 0 && u.base <= most ? u.base : 0;
  };
  return { kerf_m: read("kerf", 0.1), trim_m: read("trim", 1) };
}

function useSettled(now: Lengths): Lengths {
  const [kept, setKept] = useState(now);
  useEffect(() => {
    const timer = setTimeout(() => setKept(now), settled);
    return () => clearTimeout(timer);
  }, [now.kerf_m, now.trim_m]);
  return kept;
}

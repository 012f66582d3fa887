import { useState } from "preact/hooks";
import { api, ask, type Answer, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { useSession } from "../../api/session";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Stamp } from "../../parts/Stamp/Stamp";
import { Waiting } from "../../parts/Trouble/Waiting";
import type { DesignAddress } from "../../router";
import { SheetForm } from "./SheetForm";
import { stateWords } from "./states";
import type { Rest } from "./whole";
import "./page.css";

/** What the sheet is made from. */
export interface Loaded {
  design: Schema<"Design">;
  project: Schema<"Project">;
  fields: Schema<"CalcField">[];
  outputs: Schema<"CalcField">[];
  /** What a sheet may hold beside its trompe. */
  rest: Rest;
}

/** A save that went through: the design as it stands since, its version, and the number to say. */
export interface Saved {
  design: Schema<"Design">;
  etag: string | null;
  said: string;
}

/** The design sheet: a machine's inputs in the order of the water, its elevation, and what it will do. */
export default function SheetPage(address: DesignAddress) {
  const session = useSession();
  const { loaded, again } = useLoad<Loaded>(() => fetchAll(address), [address.project, address.design]);
  const [saved, setSaved] = useState<Saved | null>(null);
  const trail = [
    { href: "/projects", name: "Projects" },
    { href: `/projects/${address.project}`, name: loaded.state === "here" ? loaded.data.project.title : "Project" },
  ];
  if (loaded.state !== "here" || !("member" in session)) {
    return (
      <PageFrame title="Design sheet" trail={trail} wide>
        <Waiting loaded={loaded} again={again} />
      </PageFrame>
    );
  }
  const design = saved?.design ?? loaded.data.design;
  // With each save the form begins anew from what the notebook has now.
  return (
    <PageFrame title={design.title} trail={trail} aside={<Stamp word={stateWords[design.revision.state]} danger={design.revision.state === "withdrawn"} />} wide>
      <SheetForm
        key={`${design.id}.${design.revision.letter}.${design.sheet?.number ?? 0}.${design.revision.state}`}
        account={session.member.id}
        loaded={{ ...loaded.data, design }}
        etag={saved ? saved.etag : loaded.etag}
        said={saved?.said ?? ""}
        onSaved={setSaved}
      />
    </PageFrame>
  );
}

/** fetchDesign asks for a design with its newest sheet and its version. */
export function fetchDesign({ project, design }: DesignAddress) {
  return ask(api.GET("/api/v1/projects/{project}/designs/{design}", { params: { path: { project, design } } }));
}

async function fetchAll(address: DesignAddress): Promise<Answer<Loaded>> {
  const [design, project, calc, rest] = await Promise.all([
    fetchDesign(address),
    ask(api.GET("/api/v1/projects/{project}", { params: { path: { project: address.project } } })),
    ask(api.GET("/api/v1/calc/{family}", { params: { path: { family: "trompe" } } })),
    ask(api.GET("/api/v1/preview")),
  ]);
  if (!design.ok) {
    return design;
  }
  if (!project.ok) {
    return project;
  }
  if (!calc.ok) {
    return calc;
  }
  if (!rest.ok) {
    return rest;
  }
  return { ok: true, status: design.status, etag: design.etag, data: { design: design.data, project: project.data, fields: calc.data.inputs.filter((f) => f.kind !== "tolerances"), outputs: calc.data.outputs, rest: rest.data } };
}

import { PageFrame } from "../../parts/PageFrame/PageFrame";
import type { DesignAddress } from "../../router";

/** The design sheet. */
export default function SheetPage({ project, design }: DesignAddress) {
  return (
    <PageFrame title="Design sheet" trail={[{ href: `/projects/${project}`, name: "Project" }]} wide>
      <p>Design {design}</p>
    </PageFrame>
  );
}

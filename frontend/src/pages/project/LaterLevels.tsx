import type { Schema } from "../../api/client";
import { BuildLevel } from "./BuildLevel";
import { Level } from "./Fall";
import { TestLevel } from "./TestLevel";

/** LaterLevels says honestly what will stand at the levels that this notebook does not have yet, and what to do until then. */
export function LaterLevels({ project }: { project: Schema<"Project"> }) {
  return (
    <>
      <BuildLevel project={project} />
      <TestLevel project={project} />
      <Level name="Results" place="tailwater" reached={false}>
        <p>Here what was measured will be laid against what was predicted. Not in this notebook yet; keep your readings with their dates.</p>
      </Level>
    </>
  );
}

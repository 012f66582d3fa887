import type { Schema } from "../../api/client";
import { BuildLevel } from "./BuildLevel";
import { ResultsLevel } from "./ResultsLevel";
import { TestLevel } from "./TestLevel";

/** LaterLevels are those that need a machine. */
export function LaterLevels({ project }: { project: Schema<"Project"> }) {
  return (
    <>
      <BuildLevel project={project} />
      <TestLevel project={project} />
      <ResultsLevel project={project} />
    </>
  );
}

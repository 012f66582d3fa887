import type { Schema } from "../../api/client";
import { BuildLevel } from "./BuildLevel";
import { Level } from "./Fall";

/** LaterLevels says honestly what will stand at the levels that this notebook does not have yet, and what to do until then. */
export function LaterLevels({ project }: { project: Schema<"Project"> }) {
  return (
    <>
      <BuildLevel project={project} />
      <Level name="Test" reached={false}>
        <p>Here the pressure test will be led step by step and signed. Not in this notebook yet.</p>
        <p class="warn caution">
          <b>Gas in plastic.</b> Air stored under pressure throws pieces when a pipe or joint lets go. Nothing on this page clears a
          machine for pressure; licensed practice and local codes do.
        </p>
      </Level>
      <Level name="Results" place="tailwater" reached={false}>
        <p>Here what was measured will be laid against what was predicted. Not in this notebook yet; keep your readings with their dates.</p>
      </Level>
    </>
  );
}

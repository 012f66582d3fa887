import { api, ask } from "../../api/client";
import type { Ref } from "../sheet/refs";

/** fetchSheet asks for a kept sheet in full. */
export function fetchSheet(project: number, { design, letter, number }: Ref) {
  const path = { project, design, letter, number };
  return ask(api.GET("/api/v1/projects/{project}/designs/{design}/revisions/{letter}/sheets/{number}", { params: { path } }));
}

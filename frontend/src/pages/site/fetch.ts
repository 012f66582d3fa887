import { api, ask } from "../../api/client";

/** fetchSite asks for a site with its version. */
export function fetchSite(project: number) {
  return ask(api.GET("/api/v1/projects/{project}/site", { params: { path: { project } } }));
}

import { api, ask, type Answer, type Schema } from "../../api/client";
import { fetchLetter } from "../sheet/letters";

export type Build = Schema<"Build">;

/** What a page under a build is told by its address. */
export interface BuildAddress {
  project: number;
  build: number;
}

export const buildPath = ({ project, build }: BuildAddress) => `/projects/${project}/builds/${build}`;

/** fetchBuild asks for a machine in full, with its version. */
export function fetchBuild({ project, build }: BuildAddress): Promise<Answer<Build>> {
  return ask(api.GET("/api/v1/projects/{project}/builds/{build}", { params: { path: { project, build } } }));
}

export function fetchProject(project: number): Promise<Answer<Schema<"Project">>> {
  return ask(api.GET("/api/v1/projects/{project}", { params: { path: { project } } }));
}

/** What a page about a machine shows: the machine, and the project that it is of. */
export interface WithProject {
  build: Build;
  project: Schema<"Project">;
}

/** fetchBoth asks for a machine and its project; the version is that of the machine. */
export async function fetchBoth(address: BuildAddress): Promise<Answer<WithProject>> {
  const [build, project] = await Promise.all([fetchBuild(address), fetchProject(address.project)]);
  if (!build.ok) {
    return build;
  }
  return project.ok ? { ...build, data: { build: build.data, project: project.data } } : project;
}

/** A cleared revision of the project that a machine can be built from. */
export interface Cleared {
  design: number;
  title: string;
  letter: string;
  /** The sheet of it that counts. */
  sheet: number;
}

/** fetchCleared finds the cleared revisions of a project, one for each design at most. */
export async function fetchCleared(project: Schema<"Project">): Promise<Answer<Cleared[]>> {
  const found = await Promise.all(
    project.designs.map(async (d) => ({ d, a: await fetchLetter({ project: project.id, design: d.id }, (r) => r.state === "cleared") })),
  );
  const cleared: Cleared[] = [];
  for (const { d, a } of found) {
    if (!a.ok) {
      return a;
    }
    if (a.data) {
      cleared.push({ design: d.id, title: d.title, letter: a.data.letter, sheet: a.data.sheet_count });
    }
  }
  return { ok: true, status: 200, etag: null, data: cleared };
}

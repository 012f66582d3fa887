import { api, ask, type Answer, type Schema } from "../../api/client";

type Project = Schema<"Project">;
type Ask = Schema<"Ask">;

/** What it means to be on a crew, said before somebody says yes. */
export const crewMeans =
  "The crew of a project changes it and saves its sheets. Whoever is or ever was on the crew may not check its designs: that takes other eyes.";

/** sayAnswer answers an ask; said twice it counts once. */
export function sayAnswer(a: Ask, yes: boolean): Promise<Answer<Project>> {
  return ask(
    api.POST("/api/v1/projects/{project}/crew/asks/{ask}/answer", { params: { path: { project: a.project, ask: a.id } }, body: { yes } }),
  );
}

/** withdraw takes back an ask that waits. */
export function withdraw(a: Ask): Promise<Answer<Project>> {
  return ask(api.DELETE("/api/v1/projects/{project}/crew/asks/{ask}", { params: { path: { project: a.project, ask: a.id } } }));
}

/** leave takes the member off the crew. */
export function leave(project: number): Promise<Answer<Project>> {
  return ask(api.DELETE("/api/v1/projects/{project}/crew/me", { params: { path: { project } } }));
}

/** others fetches whom a crew could ask. */
export function others(project: number): Promise<Answer<Schema<"PersonList">>> {
  return ask(api.GET("/api/v1/projects/{project}/crew/others", { params: { path: { project } } }));
}

/** bring asks a member to join, or adds them to a crew that has died out. */
export function bring(project: number, member: number, deserted: boolean): Promise<Answer<Project>> {
  const request = { params: { path: { project } }, body: { member } };
  return ask(deserted ? api.POST("/api/v1/projects/{project}/crew", request) : api.POST("/api/v1/projects/{project}/crew/asks", request));
}

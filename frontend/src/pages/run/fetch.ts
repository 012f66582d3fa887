import { api, ask, askIfChanged, type Answer, type Schema } from "../../api/client";
import { buildPath, type BuildAddress } from "../build/fetch";

export type Run = Schema<"Run">;
export type RunHead = Schema<"RunHead">;
export type RunList = Schema<"RunList">;
export type RunForm = Schema<"RunForm">;
export type Point = Schema<"RunPoint">;
export type Reading = Schema<"RunReading">;
export type Worked = Schema<"RunQuantity">;
export type Measurable = Schema<"RunMeasurable">;
export type Method = Schema<"RunMethod">;
export type Setting = Schema<"RunSetting">;

/** What the page of a run is told by its address. */
export interface RunAddress extends BuildAddress {
  run: number;
}

export const runsPath = (at: BuildAddress) => `${buildPath(at)}/runs`;
export const runPath = (at: RunAddress) => `${runsPath(at)}/${at.run}`;

/** fetchRuns asks for a page of the runs of a machine, and for what a new one would hold to. */
export function fetchRuns({ project, build }: BuildAddress, before?: number): Promise<Answer<RunList>> {
  return ask(api.GET("/api/v1/projects/{project}/builds/{build}/runs", { params: { path: { project, build }, ...(before === undefined ? {} : { query: { before } }) } }));
}

/** fetchRunIfChanged asks for a run; "same" where it stands as it was read under that stamp. */
export function fetchRunIfChanged({ project, build, run }: RunAddress, stamp: string | null): Promise<Answer<Run> | "same"> {
  const header = stamp === null ? {} : { header: { "If-None-Match": stamp } };
  return askIfChanged(api.GET("/api/v1/projects/{project}/builds/{build}/runs/{run}", { params: { path: { project, build, run }, ...header } }));
}

import { api, ask, type Answer, type Schema } from "../../api/client";
import { runPath, type RunAddress } from "../run/fetch";

export type SeriesFile = Schema<"SeriesFile">;
export type Report = Schema<"SeriesReport">;
export type ChannelFact = Schema<"SeriesChannel">;
/** What is asked about a column, of a file or of what a logger sent. */
export type Column = Pick<ChannelFact, "name" | "unit" | "kind" | "counted" | "file_unit">;
export type Sent = Schema<"SentLogger">;
export type Chart = Schema<"SeriesChart">;
export type Summary = Schema<"SeriesSummary">;
export type ChannelSummary = Schema<"ChannelSummary">;
export type Window = Schema<"SeriesWindow">;

/** What the page of a file of a run is told by its address. */
export interface FileAddress extends RunAddress {
  file: number;
}

/** What the page of what a logger sent in a run is told by its address. */
export interface SentAddress extends RunAddress {
  logger: number;
}

export const filesPath = (at: RunAddress) => `${runPath(at)}/files`;
export const filePath = (at: FileAddress) => `${filesPath(at)}/${at.file}`;
export const sentPath = (at: SentAddress) => `${runPath(at)}/loggers/${at.logger}`;

const ofRun = ({ project, build, run }: RunAddress) => ({ project, build, run });
const ofFile = ({ project, build, run, file }: FileAddress) => ({ project, build, run, file });

export const fetchFiles = (at: RunAddress): Promise<Answer<Schema<"SeriesFiles">>> => ask(api.GET("/api/v1/projects/{project}/builds/{build}/runs/{run}/files", { params: { path: ofRun(at) } }));

export const fetchSent = (at: RunAddress): Promise<Answer<Schema<"SentLoggers">>> => ask(api.GET("/api/v1/projects/{project}/builds/{build}/runs/{run}/loggers", { params: { path: ofRun(at) } }));

export const fetchFile = (at: FileAddress): Promise<Answer<SeriesFile>> => ask(api.GET("/api/v1/projects/{project}/builds/{build}/runs/{run}/files/{file}", { params: { path: ofFile(at) } }));

export const fetchRun = (at: RunAddress): Promise<Answer<Schema<"Run">>> => ask(api.GET("/api/v1/projects/{project}/builds/{build}/runs/{run}", { params: { path: ofRun(at) } }));

/** readFile has a file read, with the answers to what it does not say itself. */
export const readFile = (at: FileAddress, body: Schema<"CompleteSeriesFile">): Promise<Answer<SeriesFile>> =>
  ask(api.POST("/api/v1/projects/{project}/builds/{build}/runs/{run}/files/{file}/done", { params: { path: ofFile(at) }, body }));

/** What a chart is to show: without times all of it. */
export interface Wish {
  channel: string;
  from?: number;
  to?: number;
  points?: number;
  window?: boolean;
}

export type FetchChart = (wish: Wish) => Promise<Answer<Chart>>;

export const chartOf =
  (at: FileAddress): FetchChart =>
  (query) =>
    ask(api.GET("/api/v1/projects/{project}/builds/{build}/runs/{run}/files/{file}/chart", { params: { path: ofFile(at), query } }));

export const chartOfSent =
  (at: SentAddress): FetchChart =>
  (query) =>
    ask(api.GET("/api/v1/projects/{project}/builds/{build}/runs/{run}/loggers/{logger}/chart", { params: { path: { ...ofRun(at), logger: at.logger }, query } }));

export const takeWindow = (at: RunAddress, body: Schema<"TakeWindow">): Promise<Answer<Window>> =>
  ask(api.POST("/api/v1/projects/{project}/builds/{build}/runs/{run}/windows", { params: { path: ofRun(at) }, body }));

export const decideWindow = (at: RunAddress, window: number, body: Schema<"DecideWindow">): Promise<Answer<Window>> =>
  ask(api.POST("/api/v1/projects/{project}/builds/{build}/runs/{run}/windows/{window}/decisions", { params: { path: { ...ofRun(at), window } }, body }));

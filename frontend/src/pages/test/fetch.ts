import { api, ask, askIfChanged, type Answer, type Schema } from "../../api/client";
import { buildPath, type BuildAddress } from "../build/fetch";

export type Test = Schema<"Test">;
export type TestItem = Schema<"TestItem">;
export type TestField = Schema<"TestField">;
export type TestRole = Schema<"TestRole">;
export type TestEntry = Schema<"TestEntry">;

/** What a page about the tests of a machine is told by its address. */
export type OfBuild = BuildAddress;

/** What the page of a test sheet is told by its address. */
export interface TestAddress extends OfBuild {
  test: number;
}

export const testsPath = (at: OfBuild) => `${buildPath(at)}/tests`;
export const testPath = (at: TestAddress) => `${testsPath(at)}/${at.test}`;
export const certificatePath = (at: OfBuild) => `${buildPath(at)}/certificate`;

/** trailOf leads from the projects down to the machine. */
export const trailOf = (at: OfBuild, machine = "Machine") => [
  { href: "/projects", name: "Projects" },
  { href: `/projects/${at.project}`, name: "Project" },
  { href: buildPath(at), name: machine },
];

const only = ({ project, build }: OfBuild) => ({ project, build });

export const fetchTests = (at: OfBuild, before?: number): Promise<Answer<Schema<"TestList">>> =>
  ask(api.GET("/api/v1/projects/{project}/builds/{build}/tests", { params: { path: only(at), ...(before === undefined ? {} : { query: { before } }) } }));

export const fetchCertificates = (at: OfBuild, before?: number): Promise<Answer<Schema<"Certificates">>> =>
  ask(api.GET("/api/v1/projects/{project}/builds/{build}/certificate", { params: { path: only(at), ...(before === undefined ? {} : { query: { before } }) } }));

/** fetchIfChanged asks for a test sheet; "same" where it stands as it was read under that stamp. */
export function fetchIfChanged({ project, build, test }: TestAddress, stamp: string | null): Promise<Answer<Test> | "same"> {
  const header = stamp === null ? {} : { header: { "If-None-Match": stamp } };
  return askIfChanged(api.GET("/api/v1/projects/{project}/builds/{build}/tests/{test}", { params: { path: { project, build, test }, ...header } }));
}

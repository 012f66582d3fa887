import { api, ask, type Answer, type Schema } from "../../api/client";
import { offline } from "../../api/problem";
import { fetchStock, type Stock } from "../stock/fetch";
import type { Ref } from "../sheet/refs";

/** How pipe is cut, in m. */
export interface Lengths {
  kerf_m: number;
  trim_m: number;
}

const address = (project: number, { design, letter, number }: Ref) => ({ project, design, letter, number });

/** fetchCuts asks what a sheet needs, held against the stock list as it is now. */
export async function fetchCuts(project: number, sheet: Ref, saw: Lengths): Promise<Answer<Schema<"Cuts">>> {
  const a = await ask(
    api.GET("/api/v1/projects/{project}/designs/{design}/revisions/{letter}/sheets/{number}/cuts", { params: { path: address(project, sheet), query: saw } }),
  );
  if (!a.ok) {
    return a;
  }
  return typeof a.data === "string" ? { ok: false, trouble: offline } : { ...a, data: a.data }; // text is not what was asked for
}

/** fetchCSV asks for one of the lists as a file. */
export function fetchCSV(project: number, sheet: Ref, saw: Lengths, as: "parts.csv" | "cuts.csv") {
  return ask(
    api.GET("/api/v1/projects/{project}/designs/{design}/revisions/{letter}/sheets/{number}/cuts", {
      params: { path: address(project, sheet), query: { ...saw, as } },
      parseAs: "blob",
    }),
  );
}

/** What the page is made from. */
export interface Ready {
  cuts: Schema<"Cuts">;
  stock: Stock;
  project: Schema<"Project">;
}

export async function fetchReady(id: number, sheet: Ref, saw: Lengths): Promise<Answer<Ready>> {
  const [cuts, stock, project] = await Promise.all([
    fetchCuts(id, sheet, saw),
    fetchStock(),
    ask(api.GET("/api/v1/projects/{project}", { params: { path: { project: id } } })),
  ]);
  if (!cuts.ok) {
    return cuts;
  }
  if (!stock.ok) {
    return stock;
  }
  return project.ok ? { ...cuts, data: { cuts: cuts.data, stock: stock.data, project: project.data } } : project;
}

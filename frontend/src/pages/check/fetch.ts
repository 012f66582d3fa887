import { api, ask, type Answer, type Schema } from "../../api/client";

export type Check = Schema<"Check">;
export type Remark = Schema<"Remark">;

/** What names a letter of a design. */
export interface LetterAt {
  project: number;
  design: number;
  letter: string;
}

/** fetchCheck asks for a letter with all that was said about it. */
export function fetchCheck({ project, design, letter }: LetterAt): Promise<Answer<Check>> {
  return ask(api.GET("/api/v1/projects/{project}/designs/{design}/revisions/{letter}", { params: { path: { project, design, letter } } }));
}

/** fetchRemarks asks for all remarks on a design, page after page: those that stand open, or all of them. */
export async function fetchRemarks({ project, design }: Pick<LetterAt, "project" | "design">, open: boolean): Promise<Answer<Remark[]>> {
  const all: Remark[] = [];
  let before: number | null = null;
  for (;;) {
    const query: { open?: number; before?: number; limit: number } = { limit: 100, ...(open ? { open: 1 } : {}), ...(before === null ? {} : { before }) };
    const a: Answer<Schema<"RemarkList">> = await ask(api.GET("/api/v1/projects/{project}/designs/{design}/remarks", { params: { path: { project, design }, query } }));
    if (!a.ok) {
      return a;
    }
    all.push(...a.data.items);
    before = a.data.next;
    if (before === null) {
      return { ...a, data: all };
    }
  }
}

/**
 * step takes one step of a check. The answer to an earlier try may have been
 * lost on the way: then what stands now tells that it was done.
 */
export async function step(at: LetterAt, taken: Promise<Answer<Check>>, done: (now: Check) => boolean): Promise<Answer<Check>> {
  const a = await taken;
  if (a.ok || a.trouble.kind === "offline") {
    return a;
  }
  const now = await fetchCheck(at);
  return now.ok && done(now.data) ? now : a;
}

import { api, ask, type Answer, type Schema } from "../../api/client";
import type { DesignAddress } from "../../router";

/** isLater tells whether a letter comes after another: they go on as A to Y, AA to YY, AAA to YYY. */
export const isLater = (letter: string, other: string) => letter.length > other.length || (letter.length === other.length && letter > other);

/** fetchLetters asks for a page of the letters of a design, newest first: the newest of all, or what is before a page. */
export function fetchLetters({ project, design }: DesignAddress, before: number | null): Promise<Answer<Schema<"RevisionList">>> {
  const query = { limit: 100, ...(before === null ? {} : { before }) };
  return ask(api.GET("/api/v1/projects/{project}/designs/{design}/revisions", { params: { path: { project, design }, query } }));
}

/** fetchLetter finds the newest letter of a design that is as wanted; null for none. */
export async function fetchLetter(at: DesignAddress, wanted: (r: Schema<"Revision">) => boolean): Promise<Answer<Schema<"Revision"> | null>> {
  let before: number | null = null;
  for (;;) {
    const a: Answer<Schema<"RevisionList">> = await fetchLetters(at, before);
    if (!a.ok) {
      return a;
    }
    const found = a.data.items.find(wanted);
    before = a.data.next;
    if (found || before === null) {
      return { ...a, data: found ?? null };
    }
  }
}

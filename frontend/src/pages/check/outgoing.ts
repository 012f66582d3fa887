import { newKey, sendAsMember } from "../../api/client";
import type { Trouble } from "../../api/problem";
import { put } from "../../outbox/outbox";
import type { LetterAt } from "./fetch";

/** aboutRemarks names what the outbox holds for the remarks on a design. */
export const aboutRemarks = ({ project, design }: Pick<LetterAt, "project" | "design">) => `remarks of ${project}.${design}`;

/** remarksPath is where remarks on a design are sent. */
export const remarksPath = ({ project, design }: Pick<LetterAt, "project" | "design">) => `/api/v1/projects/${project}/designs/${design}/remarks`;

interface Outgoing {
  account: number;
  at: LetterAt;
  says: string;
  path: string;
  body: Record<string, unknown>;
  /** The same for every try of the same text. */
  key?: string;
}

/** handOver gives what was written to the outbox, or sends it at once where this browser keeps nothing. It answers what stopped it. */
export async function handOver({ account, at, says, path, body, key = newKey() }: Outgoing): Promise<{ kept: boolean; trouble: Trouble | null }> {
  const whole = { ...body, client_key: key };
  if ((await put({ account, about: aboutRemarks(at), says, path, body: whole, key })) !== null) {
    return { kept: true, trouble: null };
  }
  const sent = await sendAsMember(path, whole);
  return { kept: false, trouble: sent.ok ? null : sent.trouble };
}

/** begins is the beginning of a text, to tell it from others. */
export const begins = (text: string) => (text.length > 60 ? `${text.slice(0, 57)}…` : text);

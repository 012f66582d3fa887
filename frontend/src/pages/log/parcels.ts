import type { Schema } from "../../api/client";
import type { Putting } from "../../outbox/outbox";
import type { Held } from "./held";
import { utcOf } from "./moment";

export type EntryTexts = Record<"text" | "happened" | "incident" | "machine", string>;

/** Where an entry goes, and what it is about. */
export interface Writing {
  account: number;
  project: number;
  /** Null for the project as a whole. */
  build: number | null;
  /** The entry that it corrects. */
  strikes: number | null;
  /** The time zone of the group. */
  zone: string;
}

/** aboutLog names what the outbox has of one log. */
export const aboutLog = (project: number) => `log of ${project}`;

/** parcelsOf makes what is to be sent of an entry: its files first, then the entry that refers to them. */
export function parcelsOf(w: Writing, texts: EntryTexts, held: Held[], key: string, now: Date): Putting[] {
  const common = { account: w.account, about: aboutLog(w.project) };
  const files = held.map((h) => ({
    ...common,
    key: h.key,
    says: `${h.picture ? "Picture" : "File"} ${h.name}`,
    path: `/api/v1/projects/${w.project}/files?client_key=${h.key}&name=${encodeURIComponent(h.name)}`,
    body: h.body,
  }));
  const body: Omit<Schema<"WriteEntry">, "files"> = {
    build: w.strikes === null ? w.build : null,
    text: texts.text.trim(),
    incident: texts.incident === "yes",
    strikes: w.strikes,
    // Written without signal it may arrive much later: the moment is said here.
    happened_at: (utcOf(texts.happened, w.zone) ?? now).toISOString(),
    client_key: key,
  };
  const entry = {
    ...common,
    key,
    says: `${texts.incident === "yes" ? "Incident" : w.strikes === null ? "Entry" : "Correction"}: ${texts.text.trim() || "pictures only"}`,
    path: `/api/v1/projects/${w.project}/log`,
    body: { ...body, files: held.map((h) => ({ given_to: h.key })) },
  };
  return [...files, entry];
}

/** faultsOf finds what is wrong with an entry before it is kept. */
export function faultsOf(texts: EntryTexts, held: Held[], zone: string, now: Date): { field: keyof EntryTexts; message: string }[] {
  const faults: { field: keyof EntryTexts; message: string }[] = [];
  const text = texts.text.trim();
  if (text === "" && texts.incident === "yes") {
    faults.push({ field: "text", message: "Say in a few words what happened, and whether somebody is hurt." });
  } else if (text === "" && held.length === 0) {
    faults.push({ field: "text", message: "Write what happened, or add a picture." });
  }
  if (text.length > 4000) {
    faults.push({ field: "text", message: "An entry takes 4000 characters. Write the rest as a second entry." });
  }
  const at = utcOf(texts.happened, zone);
  if (texts.happened !== "" && (at === null || at.getTime() > now.getTime())) {
    faults.push({ field: "happened", message: "This is still to come, or no day and time. Leave it empty for now." });
  }
  return faults;
}

/**
 * Drafts: what was typed and is not on the server yet. They live in this
 * browser under the account that typed them, survive a reload, and go away
 * when the server has the text or the person says so.
 */
export interface Draft {
  values: Record<string, string>;
  /** The texts that typing began with, to tell what was changed; unknown in drafts of an older release. */
  from?: Record<string, string>;
  /** The version of the thing that the person was looking at while typing. */
  base: string | null;
  /** The client key of the request, so that sending again can't double it. */
  key: string;
  at: string;
}

function place(account: number, form: string): string {
  return `leat:draft:${account}:${form}`;
}

/** readDraft finds a draft; what can't be read counts as none. */
export function readDraft(account: number, form: string): Draft | null {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(place(account, form)) ?? "null");
    return isDraft(kept) ? kept : null;
  } catch {
    return null;
  }
}

/** writeDraft keeps a draft; false when this browser keeps nothing. */
export function writeDraft(account: number, form: string, draft: Draft): boolean {
  try {
    localStorage.setItem(place(account, form), JSON.stringify(draft));
    return true;
  } catch {
    return false;
  }
}

/** dropDraft forgets one draft. */
export function dropDraft(account: number, form: string): void {
  try {
    localStorage.removeItem(place(account, form));
  } catch {
    // A browser that keeps nothing has nothing to forget.
  }
}

/** draftForms names the forms that this account has drafts of. */
export function draftForms(account: number): string[] {
  const start = place(account, "");
  try {
    return Object.keys(localStorage).filter((k) => k.startsWith(start)).map((k) => k.slice(start.length));
  } catch {
    return [];
  }
}

function isDraft(v: unknown): v is Draft {
  if (typeof v !== "object" || v === null || !("values" in v) || !("key" in v) || !("base" in v) || !("at" in v)) {
    return false;
  }
  const { values, key, base, at } = v;
  return (
    areTexts(values) &&
    (!("from" in v) || areTexts(v.from)) &&
    typeof key === "string" &&
    (base === null || typeof base === "string") &&
    typeof at === "string"
  );
}

function areTexts(v: unknown): boolean {
  return typeof v === "object" && v !== null && Object.values(v).every((t) => typeof t === "string");
}

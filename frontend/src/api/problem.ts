/** One fault of a request: where it is (a JSON Pointer into the body) and what to do, in words for people. */
export interface Fault {
  pointer: string;
  code: string;
  message: string;
}

/** Why a request did not do what was asked. Every kind has its own next step on the page. */
export type TroubleKind =
  | "offline" // no answer arrived: nothing is known to be saved, try again
  | "expired" // the person must sign in again
  | "invalid" // the server refused the values, see faults
  | "stale" // someone else saved first
  | "forbidden"
  | "missing"
  | "busy" // asked too often, or the server has no time
  | "broken"; // our defect

/** A failed request in words for people, with its faults when it was about values. */
export interface Trouble {
  kind: TroubleKind;
  title: string;
  detail: string;
  faults: Fault[];
  /** For quoting to whoever keeps the server. */
  reference: string | null;
  /** The stable code of the problem, such as "project-stale". */
  code: string;
  /** Of an archive that is here already: the project that it was brought in as. */
  project?: number;
}

/** No answer arrived, or one that was cut off or came from something between us and the server. */
export const offline: Trouble = {
  kind: "offline",
  title: "No connection to the notebook.",
  detail: "Nothing was lost: what you typed is kept in this browser. Try again when you have signal.",
  faults: [],
  reference: null,
  code: "offline",
};

/** The session is over and the person chose not to sign in again yet. */
export const expired: Trouble = {
  kind: "expired",
  title: "You are signed out.",
  detail: "What you typed is kept on this page. Sign in again to send it.",
  faults: [],
  reference: null,
  code: "expired",
};

/** troubleFrom reads a problem document (RFC 9457); text that is not one still gives a usable sentence. */
export function troubleFrom(status: number, body: unknown): Trouble {
  const doc = isRecord(body) ? body : {};
  const kind = kindOf(status);
  return {
    kind,
    title: text(doc["title"]) ?? plainTitle[kind],
    detail: text(doc["detail"]) ?? "",
    faults: readFaults(doc),
    reference: text(doc["instance"]),
    code: text(doc["code"]) ?? "",
    ...(typeof doc["project"] === "number" ? { project: doc["project"] } : {}),
  };
}

const plainTitle: Record<TroubleKind, string> = {
  offline: offline.title,
  expired: expired.title,
  invalid: "Some of this can’t be saved as it stands.",
  stale: "Someone else saved first.",
  forbidden: "You may not do this.",
  missing: "There is nothing at this place.",
  busy: "Too many tries. Wait a little and try again.",
  broken: "The notebook failed at this. What you typed is kept.",
};

function kindOf(status: number): TroubleKind {
  switch (status) {
    case 400:
    case 409:
    case 413:
    case 415:
    case 422:
      return "invalid";
    case 401:
      return "expired";
    case 403:
      return "forbidden";
    case 404:
      return "missing";
    case 412:
    case 428:
      return "stale";
    case 429:
    case 503:
      return "busy";
    case 502:
    case 504:
      return "offline";
    default:
      return "broken";
  }
}

function readFaults(doc: Record<string, unknown>): Fault[] {
  const list = doc["fields"];
  if (!Array.isArray(list)) {
    return [];
  }
  return list.filter(isRecord).map((f) => ({
    pointer: text(f["pointer"]) ?? "",
    code: text(f["code"]) ?? "",
    message: text(f["message"]) ?? "This can’t be saved as it stands.",
  }));
}

function isRecord(v: unknown): v is Record<string, unknown> {
  return typeof v === "object" && v !== null && !Array.isArray(v);
}

function text(v: unknown): string | null {
  return typeof v === "string" && v !== "" ? v : null;
}

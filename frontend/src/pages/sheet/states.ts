import type { Schema } from "../../api/client";

/** The words for the state of a revision. */
export const stateWords: Record<Schema<"RevisionState">, string> = {
  draft: "draft",
  in_check: "in check",
  returned: "returned",
  cleared: "cleared",
  superseded: "superseded",
  withdrawn: "withdrawn",
};

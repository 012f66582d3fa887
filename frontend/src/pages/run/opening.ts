import type { Schema } from "../../api/client";
import type { Entry } from "../../parts/ErrorSummary/ErrorSummary";
import type { Units } from "../../system";
import { understand } from "../../typed";
import type { Measurable } from "./fetch";
import { shownIn } from "./measure";
import { titleOf } from "./words";

/** What is typed to open a run: title, purpose, by-NAME, low-NAME and high-NAME. */
export type OpenTexts = Record<string, string>;

/** limitsOf reads the limits that are promised instead of the interval of the prediction, of what the run is judged by. */
export function limitsOf(quantities: Measurable[], texts: OpenTexts, units: Units): { limits: Record<string, Schema<"RunLimits">>; faults: Entry[] } {
  const limits: Record<string, Schema<"RunLimits">> = {};
  const faults: Entry[] = [];
  for (const q of quantities.filter((x) => texts[`by-${x.name}`] === "yes")) {
    const unit = shownIn(q, q.predicted ?? q.high ?? 0, units);
    const read = (end: "low" | "high"): number | null => {
      const u = understand(texts[`${end}-${q.name}`] ?? "", unit);
      if (u.kind === "unclear") {
        faults.push({ field: `${end}-${q.name}`, message: `${titleOf(q)}: ${u.message}` });
      }
      return u.kind === "value" ? Number(u.base.toPrecision(12)) : null;
    };
    const [low, high] = [read("low"), read("high")];
    if (low !== null && high !== null && low >= high) {
      faults.push({ field: `high-${q.name}`, message: `${titleOf(q)}: the upper limit must lie above the lower one.` });
    } else if (low !== null || high !== null) {
      limits[q.name] = { low, high };
    }
  }
  return { limits, faults };
}

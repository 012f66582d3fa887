import type { Schema } from "../../api/client";
import type { Texts } from "../../forms/form";
import type { Entry } from "../../parts/ErrorSummary/ErrorSummary";
import { understand } from "../../typed";
import { unitNamed, type Unit } from "../../units";
import { flowUnits } from "../site/facts";

/** The fields of a gauging, as typed; flow_unit is the unit of a bare flow. */
export type GaugingField = "flow" | "flow_unit" | "half" | "day" | "how" | "note";

export const flowUnitOf = (texts: Texts<GaugingField>): Unit => flowUnits.find((u) => u.name === texts.flow_unit) ?? unitNamed("flow", "L/s");

/** today is the day on this device's calendar. */
export function today(): string {
  const now = new Date();
  return [now.getFullYear(), now.getMonth() + 1, now.getDate()].map((n) => String(n).padStart(2, "0")).join("-");
}

/** bodyOf reads the form. */
export function bodyOf(texts: Texts<GaugingField>, client_key: string): { body: Schema<"RecordGauging"> } | { faults: Entry[] } {
  const faults: Entry[] = [];
  const read = (field: "flow" | "half", name: string): number | null => {
    const u = understand(texts[field], flowUnitOf(texts));
    if (u.kind === "unclear") {
      faults.push({ field, message: `${name}: ${u.message}` });
    }
    return u.kind === "value" ? u.base : null;
  };
  const flow = read("flow", "Flow");
  const half = read("half", "Give or take");
  if (flow === null && faults.every((f) => f.field !== "flow")) {
    faults.unshift({ field: "flow", message: "Type the flow that was found." });
  }
  return flow === null || faults.length > 0
    ? { faults }
    : { body: { flow_m3s: flow, half_width_m3s: half, gauged_on: texts.day || null, how: texts.how, note: texts.note, client_key } };
}

const fields: Record<string, GaugingField> = { "/flow_m3s": "flow", "/half_width_m3s": "half", "/gauged_on": "day", "/how": "how", "/note": "note" };

/** fieldOf finds the field that a pointer of the server means. */
export const fieldOf = (pointer: string): string | undefined => fields[pointer];

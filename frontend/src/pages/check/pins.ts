import type { Schema } from "../../api/client";
import { partNames } from "../../parts/Drawing/Handles";
import type { Elevation, Part, Pin as Warning } from "../../parts/Drawing/model";
import type { CalcField } from "../sheet/fields";
import { nameOfInput, type SaidInput } from "../sheet/InputList";
import { roleWords } from "../sheet/MayBuild";
import type { Pin } from "../sheet/pins";
import type { Remark } from "./fetch";
import { countWeights } from "./say";

type Weight = Schema<"RemarkWeight">;

/** What pins of a sheet can mean, by name. */
export interface Places {
  inputs: SaidInput[];
  outputs: CalcField[];
  /** Null while there is no sheet. */
  report: Schema<"Report"> | null;
}

export const theWhole: Pin = { kind: "whole", at: "", name: "the whole design" };

const isPart = (name: string): name is Part => name in partNames;

/** partNamed is the part of the drawing with a name; null for none. */
export const partNamed = (name: string): Part | null => (isPart(name) ? name : null);

/** partPin is the pin of a part of the drawing. */
export const partPin = (part: Part): Pin => ({ kind: "part", at: part, name: `${partNames[part].toLowerCase()}, in the drawing` });

/** named gives a pin its name on the sheet at hand; one that means nothing there keeps its pointer. */
export function named({ kind, at }: Remark["pin"], { inputs, outputs, report }: Places): Pin {
  if (kind === "whole") {
    return theWhole;
  }
  if (kind === "part") {
    return isPart(at) ? partPin(at) : { kind, at, name: at };
  }
  const name = kind === "input" ? inputs.filter((i) => i.at === at).map(nameOfInput)[0] : resultName(at, outputs, report);
  return { kind, at, name: name ?? `${at.slice(1).replaceAll("/", ", ").replaceAll("_", " ")}, not on this sheet` };
}

function resultName(at: string, outputs: CalcField[], report: Places["report"]): string | undefined {
  const judged = report?.build?.parts.find((p) => at === `/build${p.at}`);
  if (judged) {
    return `may it be built: ${judged.name || (roleWords[judged.role] ?? judged.role)}`;
  }
  return outputs.find((f) => at === `/trompe${f.at}`)?.about ?? report?.steps?.find((s) => s.at === at)?.title;
}

/** onPin keeps the remarks on one pin. */
export const onPin = (remarks: Remark[], pin: Pick<Pin, "kind" | "at">) => remarks.filter((r) => r.pin.kind === pin.kind && r.pin.at === pin.at);

/** countOf counts remarks by their weight, in words. */
export function countOf(remarks: Remark[]): string {
  const of: Record<Weight, number> = { stopper: 0, query: 0, note: 0 };
  for (const r of remarks) {
    of[r.weight]++;
  }
  return countWeights(of);
}

/** partOf is the part of the drawing that a remark speaks of; null for none. */
export function partOf({ pin }: Remark): Part | null {
  const [, group = "", next = ""] = pin.at.split("/");
  const name = pin.kind === "part" ? pin.at : pin.kind !== "input" ? "" : group !== "trompe" ? group : next === "n_parallel" ? "intake" : next;
  return isPart(name) && name !== "site" ? name : null;
}

/** withRemarks puts the open remarks into a drawing, one text for each part: framed as a warning where one is a stopper. */
export function withRemarks(drawing: Elevation, remarks: Remark[]): Elevation {
  const marks: Warning[] = [];
  for (const part of new Set(remarks.map(partOf))) {
    const spot = part && spotOf(drawing, part);
    if (spot) {
      const own = remarks.filter((r) => partOf(r) === part);
      marks.push({ code: `REMARK_${part}`, part, text: countOf(own), at: spot.at, side: spot.side });
    }
  }
  const stops = (m: Warning) => remarks.some((r) => r.weight === "stopper" && partOf(r) === m.part);
  const quiet = marks.filter((m) => !stops(m)).map((m) => ({ id: `remark-${m.part}`, part: m.part, text: m.text, at: m.at, side: m.side, rank: 1 }));
  return { ...drawing, warnings: [...drawing.warnings, ...marks.filter(stops)], labels: [...drawing.labels, ...quiet] };
}

/** spotOf is a point on a part: the middle of what is drawn of it. */
function spotOf(drawing: Elevation, part: Part): Pick<Warning, "at" | "side"> | null {
  const points = drawing.shapes.filter((s) => s.part === part && s.kind !== "centre").flatMap((s) => s.points);
  const xs = points.map((p) => p[0] ?? 0);
  const zs = points.map((p) => p[1] ?? 0);
  if (points.length === 0) {
    return null;
  }
  const middle = (all: number[]) => (Math.min(...all) + Math.max(...all)) / 2;
  const side = drawing.labels.find((l) => l.part === part)?.side ?? "right";
  return { at: [middle(xs), middle(zs)], side };
}

/** What a file does not say itself, as texts, and the answer that they make. */
import type { Schema } from "../../api/client";
import type { Fault } from "../../api/problem";
import type { SeriesFile } from "./fetch";

export type Texts = Record<string, string>;

const linesOf = (text: string | undefined) => (text ?? "").split("\n").map((l) => l.trim()).filter(Boolean);

/** columnOf is the column that a fault of the reader asks the unit of; null where it asks for something else. */
export function columnOf(f: Fault): string | null {
  const name = /^\/units\/(.*)$/.exec(f.pointer)?.[1];
  return name === undefined ? null : name.replaceAll("~1", "/").replaceAll("~0", "~");
}

/** columnsAsked are the columns whose unit is asked for, each once. */
export const columnsAsked = (faults: Fault[]): string[] => [...new Set(faults.flatMap((f) => columnOf(f) ?? []))];

/** textsFrom is what was answered the last time the file was read. */
export function textsFrom(asked: NonNullable<SeriesFile["read"]>["asked"]): Texts {
  const units = Object.entries(asked.units).map(([name, unit]) => [`unit ${name}`, unit] as const);
  return { ...Object.fromEntries(units), zone: asked.zone, time: asked.time, without: asked.without.join("\n") };
}

/** answerOf makes the answer. A column that is left out needs no unit. */
export function answerOf(texts: Texts): Schema<"CompleteSeriesFile"> {
  const named = (of: string) => Object.entries(texts).flatMap(([place, text]) => (place.startsWith(`${of} `) && text.trim() !== "" ? [[place.slice(of.length + 1), text.trim()] as const] : []));
  const without = [...new Set([...linesOf(texts["without"]), ...named("leave").map(([name]) => name)])];
  const units = Object.fromEntries(named("unit").filter(([name]) => !without.includes(name)));
  const zone = (texts["zone"] ?? "").trim();
  const time = (texts["time"] ?? "").trim();
  return { ...(Object.keys(units).length > 0 ? { units } : {}), ...(zone ? { zone } : {}), ...(time ? { time } : {}), ...(without.length > 0 ? { without } : {}) };
}

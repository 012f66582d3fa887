import type { Schema } from "../../api/client";

export type Head = Schema<"CalcList">["items"][number];

/** find keeps the calculations that every word of a search leads to: by name, by what they answer, by words of the trade, or by a symbol of the equation. */
export function find(all: Head[], text: string): Head[] {
  const words = text.trim().split(/\s+/).filter(Boolean);
  return all.filter((c) => words.every((w) => leadsTo(c, w)));
}

/** One or two letters are a symbol: as a part of words they would lead everywhere. */
function leadsTo(c: Head, word: string): boolean {
  if (symbolsOf(c.equation).includes(word)) {
    return true;
  }
  const text = [c.name.replaceAll(/[/_]/g, " "), c.answers, ...c.words].join("\n").toLowerCase();
  return word.length > 2 && stems(word.toLowerCase()).some((stem) => text.includes(stem));
}

/** Weirs are looked for by who wants one weir. */
const stems = (word: string) => (word.length > 4 && word.endsWith("s") ? [word, word.slice(0, -1)] : [word]);

const symbolsOf = (equation: string): string[] => equation.match(/[\p{L}]+(?:[₀-₉]+|_[\p{L}]+)?/gu) ?? [];

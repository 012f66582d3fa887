import type { Schema } from "../../api/client";
import { useUnits, type Units } from "../../system";
import { writeQuantity } from "./quantity";

type Sentence = Schema<"SheetSentence">;

/** fill puts the values into a sentence, in the reader's units. */
export function fill({ text, values, at }: Sentence, units: Units): string {
  return text.replace(/\{(\d)\}/g, (whole, i: string) => {
    const v = values[Number(i)];
    return v ? writeQuantity(v.value, v.unit, v.unit === "m³/s" && /pulse/.test(at) ? "/air" : "", units) : whole;
  });
}

/** Sentences are the numbers that a belief should meet before glue does. */
export function Sentences({ list }: { list: Sentence[] }) {
  const units = useUnits();
  return (
    <>
      {list.map((s) => (
        <p class="note" key={s.at + s.text}>
          {fill(s, units)}
        </p>
      ))}
    </>
  );
}

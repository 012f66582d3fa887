import { useEffect, useState } from "preact/hooks";
import type { Schema } from "../../api/client";
import { Drawing } from "../../parts/Drawing/Drawing";
import { PaperRule } from "../../parts/Drawing/PaperRule";
import { useUnits } from "../../system";
import type { CalcField } from "./fields";
import { InputList, RestList } from "./InputList";
import type { Rest } from "./whole";

/** The room for a drawing between the margins of A4 and of Letter, under the title block, in pixels. */
const room = { width: 640, height: 600 };

interface PaperProps {
  fields: CalcField[];
  rest: Rest;
  input: Schema<"SheetInput">;
  /** The input is not what was saved last. */
  unsaved?: boolean;
  drawing: Schema<"Drawing"> | null;
  about: string;
  onScale: (perMetre: number) => void;
}

/** Paper is what a printed sheet has instead of fields to type in: the whole elevation, and the inputs as a list. */
export function Paper({ fields, rest, input, unsaved = false, drawing, about, onScale }: PaperProps) {
  const units = useUnits();
  const drawn = useWhenPrinted(drawing);
  return (
    <section class="on-paper">
      {unsaved ? (
        <p>
          <b>Printed with changes that are not saved.</b>
        </p>
      ) : null}
      {drawn ? (
        <>
          <Drawing drawing={drawn} about={about} {...room} paper write={units.write} onScale={onScale} />
          <PaperRule />
        </>
      ) : null}
      <p>
        <b>{about}</b>
      </p>
      <h2>What it is calculated from</h2>
      {input.trompe ? <InputList fields={fields} input={input.trompe} /> : null}
      <RestList rest={rest} input={input} />
    </section>
  );
}

const settled = 400; // ms after the last change

/** useWhenPrinted follows a value a moment later, so that the drawing on the screen comes first, and at once when the page is printed. */
function useWhenPrinted<T>(value: T): T | null {
  const [kept, setKept] = useState<T | null>(null);
  useEffect(() => {
    const take = () => setKept(value);
    const timer = setTimeout(take, settled);
    addEventListener("beforeprint", take);
    return () => {
      clearTimeout(timer);
      removeEventListener("beforeprint", take);
    };
  }, [value]);
  return kept;
}

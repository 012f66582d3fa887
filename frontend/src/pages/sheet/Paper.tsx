import type { Schema } from "../../api/client";
import { Drawing } from "../../parts/Drawing/Drawing";
import { useUnits } from "../../system";
import { inputOf, textsOf, type CalcField, type SheetTexts } from "./fields";
import { InputList } from "./InputList";

/** The room for a drawing between the margins of A4 and of Letter, in pixels. */
const room = { width: 640, height: 470 };

interface PaperProps {
  fields: CalcField[];
  texts: SheetTexts;
  /** The sheet that was saved last. */
  sheet: Schema<"Sheet"> | null;
  drawing: Schema<"Drawing"> | null;
  about: string;
}

/** Paper is what a printed sheet has instead of fields to type in: the whole elevation, and the inputs as a list. */
export function Paper({ fields, texts, sheet, drawing, about }: PaperProps) {
  const units = useUnits();
  const { input } = inputOf(fields, texts);
  const written = (of: unknown) => JSON.stringify(textsOf(fields, of, units));
  return (
    <section class="on-paper">
      {written(input) === written(sheet?.input.trompe) ? null : (
        <p>
          <b>Printed with changes that are not saved.</b>
        </p>
      )}
      {drawing ? <Drawing drawing={drawing} about={about} {...room} write={units.write} /> : null}
      <p>
        <b>{about}</b>
      </p>
      <h2>What it is calculated from</h2>
      <InputList fields={fields} input={input} />
    </section>
  );
}

import { Field } from "../../parts/Field/Field";
import { useUnits } from "../../system";
import { nameOfLine, type Names } from "./names";

interface Props {
  names: Names;
  text: string;
  onText: (text: string) => void;
  fault: string | undefined;
}

/** ThingField takes a pipe of the catalogue by its name, or any other name. */
export function ThingField({ names, text, onText, fault }: Props) {
  const units = useUnits();
  const line = names.line(names.key(text));
  const note = line
    ? `Of the catalogue: ${line.material}, ${units.write(line.od_m, "bore")} outside${line.wall_m === null ? "" : `, wall ${units.write(line.wall_m, "bore")}`}.`
    : text.trim() === ""
      ? ""
      : "Not in the pipe catalogue. Parts lists find it by this name, letter by letter.";
  return (
    <Field name="thing" label="What it is" hint="Type a few letters of a pipe, such as d63 PN16, and choose; or the name that your parts lists use, such as ball valve 1/2." fault={fault} note={note}>
      {(control) => (
        <>
          <input {...control} type="text" list="pipes" autocomplete="off" spellcheck={false} value={text} onInput={(e) => onText(e.currentTarget.value)} />
          <datalist id="pipes">
            {names.lines.map((l) => (
              <option key={l.key} value={nameOfLine(l)} />
            ))}
          </datalist>
        </>
      )}
    </Field>
  );
}

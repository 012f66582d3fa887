import { Field } from "../../parts/Field/Field";
import { TextField } from "../../parts/Field/TextField";
import { NumberWithUnit } from "../../parts/NumberWithUnit/NumberWithUnit";
import { otherThan, type Units } from "../../system";
import { show } from "../../units";
import { applies, base, entryOf, idOf, labelOf, ownWords, rowsOf, type Texts } from "./form";
import { typedIn, type CalcField } from "./measure";

export interface FieldsProps {
  /** All fields of the calculation: some hang on others. */
  all: CalcField[];
  texts: Texts;
  set: (at: string, text: string) => void;
  fault: (at: string) => string | undefined;
  units: Units;
}

/** Fields are those of one object, given by its pointer: what is needed first, the rest folded away. */
export function Fields({ of, ...form }: FieldsProps & { of: string }) {
  const own = form.all.filter((f) => f.at.slice(0, f.at.lastIndexOf("/")) === of && applies(f, form.texts, form.all));
  const short = /\/\d+$/.test(of) && !own.some((f) => f.when); // an entry of a list, of one kind
  const seldom = own.filter((f) => !short && isSeldom(f, form.all));
  const given = seldom.some((f) => (form.texts[f.at] ?? "") !== "" || form.fault(f.at) !== undefined);
  return (
    <div class="stack">
      {own
        .filter((f) => !seldom.includes(f))
        .map((f) => (
          <One key={f.at} f={f} {...form} />
        ))}
      {seldom.length > 0 ? (
        <details class="fold" open={given}>
          <summary>Seldom needed</summary>
          <div class="stack">
            {seldom.map((f) => (
              <One key={f.at} f={f} {...form} />
            ))}
          </div>
        </details>
      ) : null}
    </div>
  );
}

/** isSeldom says whether a field may be left to its default, so that most people never look at it. */
function isSeldom(f: CalcField, all: CalcField[]): boolean {
  const asked = f.required || f.kind === "choice" || f.kind === "flag" || isInstead(f, all);
  return !asked && (f.default !== undefined || f.kind === "object");
}

/** isInstead says whether a field can stand for another one. */
const isInstead = (f: CalcField, all: CalcField[]) => all.some((x) => x.or?.includes(f.at));

function One({ f, ...form }: FieldsProps & { f: CalcField }) {
  const { texts, set, units } = form;
  const text = texts[f.at] ?? "";
  const { label, hint } = labelOf(f);
  const common = { name: idOf(f.at), label, fault: form.fault(f.at), optional: !f.required && f.default === undefined && !isInstead(f, form.all) };
  const onText = (t: string) => set(f.at, t);
  switch (f.kind) {
    case "object":
      return (
        <fieldset id={idOf(f.at)} tabIndex={-1} class="within">
          <legend>{label}</legend>
          {hint ? <p class="small quiet">{hint}</p> : null}
          <Fields of={f.at} {...form} />
        </fieldset>
      );
    case "records":
      return <Rows f={f} {...form} />;
    case "number":
    case "count":
      return <NumberWithUnit {...common} hint={[hint, emptyWords(f, units)].filter(Boolean).join(" ")} text={text} onText={onText} unit={typedIn(f, units)} also={typedIn(f, otherThan(units))} brief />;
    case "numbers":
    case "number_or_numbers":
    case "rows":
    case "numbers_or_rows":
      return <Numbers {...common} hint={hint} f={f} text={text} onText={onText} unit={typedIn(f, units).name} />;
    case "flag":
    case "choice":
    case "any":
      return (
        <>
          <Choice {...common} hint={hint} f={f} text={text} onText={onText} />
          {f.kind === "any" && text === ownWords ? <Fields of={f.at} {...form} /> : null}
        </>
      );
    default:
      return f.choices ? <Choice {...common} hint={hint} f={f} text={text} onText={onText} /> : <TextField {...common} hint={f.kind === "texts" ? `${hint} With a comma between them.`.trim() : hint} text={text} onText={onText} />;
  }
}

/** Numbers asks for several at once: rows of them have a line each. */
function Numbers({ f, text, onText, unit, hint, ...field }: ChoiceProps & { unit: string }) {
  const rows = f.kind === "rows" || f.kind === "numbers_or_rows";
  const said = [hint, howMany[f.kind] ?? "", f.gaps ? "A dash stands for one that is missing." : ""].filter(Boolean).join(" ");
  return (
    <Field {...field} hint={said}>
      {(control) => (
        <div class="number">
          {rows ? <textarea {...control} value={text} onInput={(e) => onText(e.currentTarget.value)} /> : <input {...control} type="text" autocomplete="off" value={text} onInput={(e) => onText(e.currentTarget.value)} />}
          <span class="unit">{unit}</span>
        </div>
      )}
    </Field>
  );
}

const howMany: Partial<Record<CalcField["kind"], string>> = {
  numbers: "Several numbers, with a space between them.",
  number_or_numbers: "One number for all, or several, with a space between them.",
  rows: "A line for each row, with a space between the numbers.",
  numbers_or_rows: "One line of numbers with a space between them, or a line for each row.",
};

/** emptyWords says what counts where nothing is typed, and what most machines have. */
function emptyWords(f: CalcField, units: Units): string {
  const preset = Number(f.default);
  const empty = f.default === undefined ? "" : `Empty: ${Number.isFinite(preset) ? show(base(f, preset), typedIn(f, units)) : f.default}.`;
  return [f.usual === undefined ? "" : `Usual: ${f.usual}${f.unit ? `\u202F${f.unit}` : ""}.`, empty].filter(Boolean).join(" ");
}

interface ChoiceProps {
  name: string;
  label: string;
  hint: string;
  fault: string | undefined;
  optional: boolean;
  f: CalcField;
  text: string;
  onText: (text: string) => void;
}

/** Choice asks for one of a few; what counts without a choice stands there already. */
function Choice({ f, text, onText, ...field }: ChoiceProps) {
  const groups = f.kind === "flag" ? [{ name: "", choices: ["true", "false"] }] : grouped(f.choices ?? []);
  return (
    <Field {...field}>
      {(control) => (
        <select {...control} value={text || (f.default ?? "")} onChange={(e) => onText(e.currentTarget.value)}>
          {f.default === undefined ? <option value="">Choose …</option> : null}
          {groups.map((g) =>
            g.name ? (
              <optgroup key={g.name} label={g.name}>
                {g.choices.map(option)}
              </optgroup>
            ) : (
              g.choices.map(option)
            ),
          )}
          {f.kind === "any" ? <option value={ownWords}>Another: say which</option> : null}
        </select>
      )}
    </Field>
  );
}

const words: Record<string, string> = { true: "yes", false: "no" };

const option = (value: string) => (
  <option key={value} value={value}>
    {words[value] ?? value.replaceAll("_", " ")}
  </option>
);

/** Of the units that are offered, the SI unit comes first of each quantity. */
const quantities: Record<string, string> = { Pa: "Pressure", "m3/s": "Flow", m: "Length", W: "Power", J: "Energy", m3: "Volume" };

/** grouped parts a list of units by quantity; other choices stay as they are. */
function grouped(choices: string[]): { name: string; choices: string[] }[] {
  const groups: { name: string; choices: string[] }[] = [];
  for (const c of choices) {
    const last = groups.at(-1);
    const name = quantities[c];
    if (!last || name) {
      groups.push({ name: name ?? "", choices: [c] });
    } else {
      last.choices.push(c);
    }
  }
  return groups;
}

/** Rows are the entries of a list of objects. */
function Rows({ f, ...form }: FieldsProps & { f: CalcField }) {
  const n = rowsOf(f, form.texts);
  const takeOut = (i: number) => {
    for (let k = i; k < n; k++) {
      for (const x of f.item ?? []) {
        form.set(`${f.at}/${k}${x.at}`, form.texts[`${f.at}/${k + 1}${x.at}`] ?? "");
      }
    }
    form.set(f.at, String(n - 1));
  };
  const fault = form.fault(f.at);
  return (
    <fieldset id={idOf(f.at)} tabIndex={-1} class="within">
      <legend>{labelOf(f).label}</legend>
      {fault ? <p class="warn">{fault}</p> : null}
      {Array.from({ length: n }, (_, i) => (
        <fieldset key={i} class="entry" id={idOf(`${f.at}/${i}`)} tabIndex={-1}>
          <legend>
            {i + 1} of {n}
          </legend>
          <Fields {...form} all={entryOf(f, i)} of={`${f.at}/${i}`} />
          {n > 1 || f.empty ? (
            <button type="button" class="plain" onClick={() => takeOut(i)}>
              Take out {i + 1}
            </button>
          ) : null}
        </fieldset>
      ))}
      <button type="button" class="second" onClick={() => form.set(f.at, String(n + 1))}>
        One more
      </button>
    </fieldset>
  );
}

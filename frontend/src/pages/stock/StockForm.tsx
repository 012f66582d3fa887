import { useState } from "preact/hooks";
import { useLocation } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import type { Trouble } from "../../api/problem";
import { useForm, type Form, type Outcome } from "../../forms/form";
import { Diff } from "../../parts/Diff/Diff";
import { DraftNote } from "../../parts/Field/DraftNote";
import { Field, type FieldProps } from "../../parts/Field/Field";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { NumberWithUnit } from "../../parts/NumberWithUnit/NumberWithUnit";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { useUnits } from "../../system";
import { emptyTexts, factsOf, fieldNames, fieldOf, textsOf, unitOf, type StockField, type StockTexts } from "./facts";
import { fetchStock } from "./fetch";
import { money } from "./money";
import type { Names } from "./names";
import { ThingField } from "./ThingField";

type Item = Schema<"StockItem">;

interface Props {
  account: number;
  names: Names;
  /** What is corrected; null: something is added. */
  item: Item | null;
  asked: { thing: string; sale: boolean };
}

interface Newer {
  item: Item;
  texts: StockTexts;
  taken: StockField[];
  both: StockField[];
}

/** StockForm takes what a line says: something on the shelf, or how it is sold. */
export function StockForm({ account, names, item, asked }: Props) {
  const [, go] = useLocation();
  const { system } = useUnits();
  const [start] = useState(() => (item ? textsOf(item, names, system) : emptyTexts(system, { ...asked, thing: names.of(asked.thing) })));
  const [newer, setNewer] = useState<Newer | null>(null);
  const version = (i: Item) => `"${i.version}"`;
  const compare = async (): Promise<boolean> => {
    const now = await fetchStock();
    const theirs = now.ok ? now.data.items.find((i) => i.id === item?.id) : undefined;
    if (!theirs) {
      return false;
    }
    const texts = textsOf(theirs, names, form.texts.units);
    const { taken, both } = form.meet(texts, version(theirs));
    setNewer({ item: theirs, texts, taken, both });
    return true;
  };
  const form = useForm<StockField>({
    id: item ? `stock-${item.id}` : `stock-new-${asked.sale ? "sale" : "shelf"}-${asked.thing}`,
    account,
    start,
    base: item ? version(item) : null,
    fieldOf,
    send: async (texts, { key, base }): Promise<Outcome> => {
      const made = factsOf(texts, names);
      if ("faults" in made) {
        return made;
      }
      const a = item
        ? await ask(api.PUT("/api/v1/stock/{item}", { params: { path: { item: item.id }, header: { "If-Match": base ?? version(item) } }, body: made.facts }))
        : await ask(api.POST("/api/v1/stock", { body: { ...made.facts, client_key: key } }));
      if (a.ok) {
        go("/stock", { replace: true });
        return { done: true };
      }
      return a.trouble.kind === "stale" && (await compare()) ? { compare: true } : { trouble: a.trouble };
    },
  });
  return (
    <form class="stack stock-form" noValidate onSubmit={form.submit} aria-label="Line of the stock list">
      <FormSummary form={form} />
      {newer ? (
        <Diff
          by={newer.item.changed_by.id === account ? "You, on another page," : newer.item.changed_by.name}
          rows={newer.both.map((field) => ({ field, name: fieldNames[field], mine: said(field, form.texts), theirs: said(field, newer.texts) }))}
          taken={newer.taken.map((f) => `${fieldNames[f]}: ${said(f, newer.texts) || "empty"}`)}
          onTake={(f) => form.set(f, newer.texts[f])}
          onClose={() => setNewer(null)}
        />
      ) : null}
      <DraftNote form={form} />
      <Fields form={form} names={names} />
      <div class="row">
        <button type="submit" aria-disabled={form.busy}>
          {item ? "Save the line" : "Add it"}
        </button>
      </div>
      {item ? <TakeOut id={item.id} etag={form.base ?? version(item)} onGone={() => go("/stock", { replace: true })} /> : null}
    </form>
  );
}

const kinds: [string, string][] = [
  ["shelf", "On the shelf: it is there to be used"],
  ["sale", "For sale: how and for how much it is sold"],
];

const said = (field: StockField, texts: StockTexts) => (field === "kind" ? (kinds.find(([k]) => k === texts.kind)?.[1] ?? "") : texts[field]);

function Fields({ form, names }: { form: Form<StockField>; names: Names }) {
  const bind = (field: StockField) => ({ text: form.texts[field], onText: (t: string) => form.set(field, t), fault: form.fault(field) });
  const sale = form.texts.kind === "sale";
  const length = unitOf("length", form.texts.units);
  const small = unitOf("kerf", form.texts.units);
  return (
    <>
      <fieldset class="kinds">
        <legend>{fieldNames.kind}</legend>
        {kinds.map(([kind, words]) => (
          <label key={kind}>
            <input type="radio" name="kind" value={kind} checked={form.texts.kind === kind} onChange={() => form.set("kind", kind)} />
            {words}
          </label>
        ))}
      </fieldset>
      <ThingField names={names} {...bind("thing")} />
      <NumberWithUnit name="length" label={fieldNames.length} hint="Of pipe and tube. Leave it empty for what goes by number, such as elbows." optional {...bind("length")} unit={length} />
      {sale ? (
        <>
          <NumberWithUnit name="kerf" label={fieldNames.kerf} hint="What the saw turns into dust at each cut." optional {...bind("kerf")} unit={small} />
          <NumberWithUnit name="trim" label={fieldNames.trim} hint="Where ends come bruised or crooked." optional {...bind("trim")} unit={small} />
        </>
      ) : (
        <PlainNumber name="quantity" label={fieldNames.quantity} hint="All of the same length." {...bind("quantity")} />
      )}
      <PlainNumber name="price" label={fieldNames.price} hint="A bare number in your own money, such as 7.90." optional {...bind("price")} note={priceSaid(form.texts.price)} />
      <TextField name="note" label={fieldNames.note} hint="Where it lies, what is wrong with it, which shop." optional long {...bind("note")} />
    </>
  );
}

type PlainProps = Omit<FieldProps, "children"> & { text: string; onText: (text: string) => void };

function PlainNumber({ text, onText, ...field }: PlainProps) {
  return (
    <Field {...field}>
      {(control) => <input {...control} class="plain-number" type="text" inputMode="decimal" autocomplete="off" value={text} onInput={(e) => onText(e.currentTarget.value)} />}
    </Field>
  );
}

/** priceSaid shows a price as it will be kept where it is finer than a hundredth. */
function priceSaid(text: string): string {
  const price = Number(text.replace(",", "."));
  return text.trim() !== "" && Number.isFinite(price) && Math.abs(price * 100 - Math.round(price * 100)) > 1e-6 ? `Kept as ${money(Math.round(price * 100))}.` : "";
}

/** TakeOut removes a line: used up, given away, no longer sold. */
function TakeOut({ id, etag, onGone }: { id: number; etag: string; onGone: () => void }) {
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const remove = async () => {
    const a = await ask(api.DELETE("/api/v1/stock/{item}", { params: { path: { item: id }, header: { "If-Match": etag } } }));
    if (a.ok || a.trouble.kind === "missing") {
      onGone();
      return;
    }
    setTrouble(a.trouble);
  };
  return (
    <section class="take-out" aria-labelledby="take-out-title">
      <h2 id="take-out-title">Used up?</h2>
      <p>Take the line out of the list. It can’t be brought back, only typed again.</p>
      {trouble ? <TroubleNote trouble={trouble} /> : null}
      <button type="button" class="second" onClick={() => void remove()}>
        Take it out of the list
      </button>
    </section>
  );
}

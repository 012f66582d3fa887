import { useEffect, useState } from "preact/hooks";
import { api, ask, type Schema } from "../../api/client";
import type { Form } from "../../forms/form";
import { Field } from "../../parts/Field/Field";
import type { Units } from "../../system";
import { applies, choiceWords, labelOf, nameOf, type CalcField } from "./fields";
import { Input } from "./Input";
import { roleWords } from "./MayBuild";
import { beginning, belongs, countName, entries, expand, isOpen, mayHaveTrompe, openName, without, type Rest, type Section } from "./whole";

interface SectionsProps {
  rest: Rest;
  units: Units;
  form: Form<string>;
  fault: (name: string) => string | undefined;
}

const titles: Record<string, string> = {
  source: "Where the water comes from",
  supply_pipe: "Supply pipe",
  ram: "Ram",
  lift: "Lifting to a taller trompe",
  pulse: "Pulse booster",
  air_line: "Air line",
  receiver: "Receiver",
  uses: "What the air is for",
  parts: "What it is built from",
  facts: "The place and the people",
};

/** What of the source, before the machine in the order of the water. */
export const before = ["source", "supply_pipe"];
export const after = ["ram", "lift", "pulse", "air_line", "receiver", "uses", "parts", "facts"];

/** MachineChoice asks what is to be built. */
export function MachineChoice({ rest, form }: Pick<SectionsProps, "rest" | "form">) {
  const f = rest.inputs.find((x) => x.at === "/machine");
  const choose = (name: string, machine: string) => {
    form.set(name, machine);
    for (const [field, text] of Object.entries(beginning(machine, form.texts))) {
      form.set(field, text); // a machine to start from, as a new trompe has one
    }
  };
  return f ? (
    <fieldset class="part" id="part-machine" tabIndex={-1}>
      <legend>What is to be built</legend>
      <Select f={f} form={{ ...form, set: choose }} fault={undefined} />
      {mayHaveTrompe(form.texts) ? <Select f={withTrompe} form={form} fault={undefined} /> : null}
    </fieldset>
  ) : null;
}

const withTrompe: CalcField = { at: "/trompe", kind: "flag", about: "its trompe is worked out on this sheet too", default: "false" };

/** Sections are the parts of a sheet beside its trompe, each folded away until somebody needs it. */
export function Sections({ groups, ...of }: SectionsProps & { groups: string[] }) {
  return (
    <>
      {groups
        .filter((g) => belongs(g, of.form.texts))
        .map((g) => (
          <Group key={g} id={g} {...of} />
        ))}
    </>
  );
}

function Group({ id, ...of }: SectionsProps & { id: string }) {
  const at = `/${id}`;
  const { rest, form } = of;
  const inside = of.rest.inputs.filter((f) => f.at === at || f.at.startsWith(`${at}/`));
  const list = inside.find((f) => f.kind === "records" && f.at === at);
  const sections = rest.sections.filter((s) => s.at === at || s.at.startsWith(`${at}/`));
  const ways = sections.filter((s) => s.at !== at && applies(inside.find((f) => f.at === s.at) ?? { at, kind: "object", about: "" }, form.texts));
  const direct = inside.filter((f) => f.kind !== "object" && f.kind !== "records" && f.at.split("/").length === 3);
  const alone = sections.some((s) => s.at === at) && !list;
  const open = !alone || isOpen(at, form.texts);
  return (
    <fieldset class="part" id={`part-${id}`} tabIndex={-1}>
      <legend>{titles[id] ?? id}</legend>
      {id === "parts" ? <PartsNote /> : null}
      {id === "source" ? <p class="small quiet">Say where the water comes from, and the sheet works out how much there is. Whatever is left empty is left out.</p> : null}
      {list ? <List list={list} {...of} /> : null}
      {!list && open ? <Fields fields={direct} {...of} /> : null}
      {alone ? <Opener at={at} title={titles[id] ?? id} {...of} /> : null}
      {list ? null : ways.map((s) => <Way key={s.at} section={s} fields={inside.filter((f) => f.at.startsWith(`${s.at}/`))} {...of} />)}
    </fieldset>
  );
}

function PartsNote() {
  return (
    <p class="small quiet">
      <b>Air in plastic pipe kills.</b> Describe each part, and the sheet says whether it may be built so. A part without a rating is not allowed.
    </p>
  );
}

/** Way is one section within a group: a way to measure the flow, say. */
function Way({ section, fields, ...of }: SectionsProps & { section: Section; fields: CalcField[] }) {
  const open = isOpen(section.at, of.form.texts);
  return (
    <div class="way">
      {open ? (
        <>
          <p class="way-title">{section.title}</p>
          <Fields fields={fields.filter((f) => f.kind !== "object")} {...of} />
        </>
      ) : null}
      <Opener at={section.at} title={section.title} {...of} />
    </div>
  );
}

/** Opener takes a section into the sheet, or out of it with everything that was typed there. */
function Opener({ at, title, form }: { at: string; title: string } & SectionsProps) {
  const open = isOpen(at, form.texts);
  const empty = () => {
    const prefix = `${nameOf(at)}-`;
    for (const [name, text] of Object.entries(form.texts)) {
      if (name.startsWith(prefix) && text !== "") {
        form.set(name, "");
      }
    }
  };
  return open ? (
    <button type="button" class="plain off-paper" onClick={empty}>
      Leave out: {title}
    </button>
  ) : (
    <button type="button" class="plain off-paper" aria-expanded={false} onClick={() => form.set(openName(at), "yes")}>
      Add: {title}
    </button>
  );
}

function List({ list, ...of }: SectionsProps & { list: CalcField }) {
  const { form } = of;
  const n = entries(list.at, form.texts);
  const fields = expand([list], form.texts);
  const what = list.at === "/parts" ? "a part" : "a use";
  const take = (i: number) => {
    for (const [name, text] of Object.entries(without(list.at, i, form.texts))) {
      form.set(name, text);
    }
  };
  return (
    <>
      {Array.from({ length: n }, (_, i) => (
        <div class="way" key={i}>
          <p class="way-title">
            {list.at === "/parts" ? "Part" : "Use"} {i + 1}
          </p>
          <Fields fields={fields.filter((f) => f.at.startsWith(`${list.at}/${i}/`) && f.kind !== "object" && reaches(f, fields, form.texts))} {...of} />
          <button type="button" class="plain off-paper" onClick={() => take(i)}>
            Take out {list.at === "/parts" ? "part" : "use"} {i + 1}
          </button>
        </div>
      ))}
      <button type="button" class="second off-paper" onClick={() => form.set(countName(list.at), String(n + 1))}>
        Add {what}
      </button>
    </>
  );
}

const reaches = (f: CalcField, all: CalcField[], texts: Record<string, string>) => all.every((g) => g.kind !== "object" || !f.at.startsWith(`${g.at}/`) || applies(g, texts));

/** What of a part comes first; the rest is folded away. */
const firstOfPart = /^\/(parts\/\d+\/(role|line|joint|location|gas_statement)|uses\/\d+\/(kind|name)|facts\/(t_hot_c|t_cold_c|riser_can_block)|source\/(kind|fall_m|flow_m3s))$/;

function Fields({ fields, ...of }: SectionsProps & { fields: CalcField[] }) {
  const applying = fields.filter((f) => applies(f, of.form.texts));
  const often = applying.filter((f) => f.required === true || firstOfPart.test(f.at));
  const shown = often.length > 0 ? often : applying;
  const seldom = often.length > 0 ? applying.filter((f) => !often.includes(f)) : [];
  const used = seldom.some((f) => of.fault(nameOf(f.at)) !== undefined || of.form.texts[nameOf(f.at)]);
  const control = (f: CalcField) => <Control key={f.at} f={f} {...of} />;
  return (
    <>
      <div class="part-fields">{shown.map(control)}</div>
      {seldom.length > 0 ? (
        <details open={used}>
          <summary>What may stay empty</summary>
          <div class="part-fields">{seldom.map(control)}</div>
        </details>
      ) : null}
    </>
  );
}

function Control({ f, units, form, fault }: { f: CalcField } & SectionsProps) {
  const name = nameOf(f.at);
  if (f.kind === "number" || f.kind === "count") {
    return <Input f={f} units={units} form={form} fault={fault} exact={false} plain />;
  }
  if (f.kind === "choice" || f.kind === "flag") {
    return <Select f={f} form={form} fault={fault(name)} />;
  }
  return (
    <Field name={name} label={labelOf(f)} fault={fault(name)} {...(f.kind === "numbers" ? { hint: "Several, parted by blanks or semicolons." } : {})} optional={f.required !== true}>
      {(control) => (
        <>
          <input {...control} type="text" autocomplete="off" value={form.texts[name] ?? ""} onInput={(e) => form.set(name, e.currentTarget.value)} {...(f.at.endsWith("/line") ? { list: "catalogue" } : {})} />
          {f.at.endsWith("/line") ? <Catalogue /> : null}
        </>
      )}
    </Field>
  );
}

function Select({ f, form, fault }: { f: CalcField; form: Form<string>; fault: string | undefined }) {
  const name = nameOf(f.at);
  const words = f.at.endsWith("/role") ? roleWords : choiceWords;
  const preset = f.default ?? "";
  const choices = f.kind === "flag" ? ["yes", "no"] : (f.choices ?? []);
  const none = f.kind === "flag" ? (preset === "true" ? "yes, as nothing else was said" : preset === "false" ? "no" : preset || "not said") : preset ? "" : "Choose";
  return (
    <Field name={name} label={labelOf(f)} fault={fault}>
      {(control) => (
        <select {...control} value={form.texts[name] || (f.kind === "choice" ? preset : "")} onChange={(e) => form.set(name, e.currentTarget.value)}>
          {none ? <option value="">{none}</option> : null}
          {choices.map((word) => (
            <option key={word} value={word}>
              {words[word] ?? word}
            </option>
          ))}
        </select>
      )}
    </Field>
  );
}

let asked: Promise<Schema<"CatalogueLine">[]> | null = null;

/** Catalogue offers the lines of the pipe catalogue by name while one types. */
function Catalogue() {
  const [lines, setLines] = useState<Schema<"CatalogueLine">[]>([]);
  useEffect(() => {
    asked ??= ask(api.GET("/api/v1/catalogue")).then((a) => (a.ok ? a.data.items : []));
    void asked.then((found) => {
      if (found.length === 0) {
        asked = null;
      }
      setLines(found);
    });
  }, []);
  return (
    <datalist id="catalogue">
      {lines.map((l) => (
        <option key={l.key} value={l.key}>
          {l.material} {l.designation}, {l.standard} {l.series}
        </option>
      ))}
    </datalist>
  );
}

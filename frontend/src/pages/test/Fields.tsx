import { useEffect, useState } from "preact/hooks";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { Field } from "../../parts/Field/Field";
import { TextField } from "../../parts/Field/TextField";
import { NumberWithUnit } from "../../parts/NumberWithUnit/NumberWithUnit";
import { Waiting } from "../../parts/Trouble/Waiting";
import { day } from "../../words";
import type { Test, TestItem } from "./fetch";
import { textOf } from "./given";
import type { Picture, Pictures } from "./pictures";
import { namesIn, ticked, type Place, type Texts } from "./values";
import { choiceWords, labelOf, sayLimits, shortDigest, unitOf } from "./words";

export interface FieldProps {
  test: Test;
  item: TestItem;
  place: Place;
  texts: Texts;
  set: (place: string, text: string) => void;
  pictures: Pictures;
  fault: string | undefined;
}

/** idOf is the id of the control of a place. */
export const idOf = (item: TestItem, place: string) => `${item.id}-${place}`;

/** ItemField is one thing to record, in the way that its kind wants. */
export function ItemField(p: FieldProps) {
  const { field } = p.place;
  switch (field.kind) {
    case "photo":
      return <PictureField {...p} />;
    case "reading":
      return <ReadingField {...p} />;
    case "instrument":
      return <InstrumentField {...p} />;
    case "people":
      return <PeopleField {...p} />;
    case "confirm":
      return field.ticks === null ? <TickField {...p} /> : <TicksField {...p} />;
    case "choice":
      return field.confirm === null ? <ChoiceField {...p} /> : <TickField {...p} />;
    case "text":
      return field.confirm === null ? <WordsField {...p} /> : <TickField {...p} />;
  }
}

const common = ({ item, place, fault }: FieldProps) => ({ name: idOf(item, place.key), label: labelOf(place.field, place.entry), fault });

/** TickField is one box to tick: a thing is so, or what the notebook shows is right. */
function TickField({ item, place, texts, set, fault }: FieldProps) {
  const { field, key } = place;
  const id = idOf(item, key);
  const label = labelOf(field, place.entry);
  const shown = field.confirm === null || typeof field.confirm === "boolean" ? "" : shortDigest(choiceWords(field.confirm));
  return (
    <div class={fault ? "field faulty" : "field"}>
      {fault ? (
        <p class="fault" id={`${id}-fault`}>
          {fault}
        </p>
      ) : null}
      <label class="tick" for={id}>
        <input
          type="checkbox"
          id={id}
          checked={texts[key] === "yes"}
          onChange={(e) => set(key, e.currentTarget.checked ? "yes" : "")}
          {...(fault ? { "aria-invalid": "true" as const, "aria-describedby": `${id}-fault` } : {})}
        />
        <span>
          {label}
          {shown ? (
            <>
              : <b class="shown">{shown}</b>
            </>
          ) : null}
        </span>
      </label>
    </div>
  );
}

/** TicksField is a box for each of several things: none is passed over. */
function TicksField({ test, item, place, texts, set, fault }: FieldProps) {
  const { field, key } = place;
  const id = idOf(item, key);
  const marks = ticked(texts[key]);
  const names = field.name === "all_lines_ticked" ? linesOf(test) : [];
  const turn = (n: string, on: boolean) => set(key, (on ? [...marks, n] : marks.filter((m) => m !== n)).join(","));
  return (
    <fieldset class={fault ? "field ticks faulty" : "field ticks"} id={id} tabIndex={-1} {...(fault ? { "aria-describedby": `${id}-fault` } : {})}>
      <legend>{labelOf(field, place.entry)}</legend>
      {fault ? (
        <p class="fault" id={`${id}-fault`}>
          {fault}
        </p>
      ) : null}
      <div class={names.length > 0 ? "" : "tick-row"}>
        {Array.from({ length: field.ticks ?? 0 }, (_, i) => String(i + 1)).map((n) => (
          <label class="tick" key={n}>
            <input type="checkbox" checked={marks.includes(n)} onChange={(e) => turn(n, e.currentTarget.checked)} />
            <span>{names[Number(n) - 1] ?? n}</span>
          </label>
        ))}
      </div>
      <p class="note" aria-live="polite">
        {marks.length} of {field.ticks}
      </p>
    </fieldset>
  );
}

/** linesOf names the parts under test, as the notebook supplies them. */
export function linesOf(test: Test): string[] {
  const lines = test.names["pressure_lines"];
  if (!Array.isArray(lines)) {
    return [];
  }
  return lines.map((l: unknown) => {
    const text = (name: string) => textOf(l, name);
    const about = [text("name") || choiceWords(text("role")), text("marking") || text("line")].filter(Boolean);
    const count = Number(text("count"));
    return `${about.join(", ")}${count > 1 ? ` (${count} of them)` : ""}`;
  });
}

function ReadingField(p: FieldProps) {
  const { field, entry, key } = p.place;
  return (
    <NumberWithUnit {...common(p)} text={p.texts[key] ?? ""} onText={(t) => p.set(key, t)} unit={unitOf(field.unit)} brief hint={sayLimits(field, entry) || undefined} />
  );
}

function WordsField(p: FieldProps) {
  const { field, key } = p.place;
  const latest = p.test.names["expiry_max"];
  if (field.name !== "expires_on") {
    return <TextField {...common(p)} long text={p.texts[key] ?? ""} onText={(t) => p.set(key, t)} />;
  }
  return (
    <Field {...common(p)} hint={typeof latest === "string" ? `At the latest ${day(`${latest}T12:00:00Z`)}.` : undefined}>
      {(control) => <input {...control} type="date" {...(typeof latest === "string" ? { max: latest } : {})} value={p.texts[key] ?? ""} onInput={(e) => p.set(key, e.currentTarget.value)} />}
    </Field>
  );
}

function ChoiceField({ item, place, texts, set, fault }: FieldProps) {
  const { field, key } = place;
  const id = idOf(item, key);
  return (
    <fieldset class={fault ? "field faulty" : "field"} id={id} tabIndex={-1}>
      <legend>{labelOf(field, place.entry)}</legend>
      {fault ? <p class="fault">{fault}</p> : null}
      {field.values.map((v) => (
        <label class="tick" key={v}>
          <input type="radio" name={id} checked={texts[key] === v} onChange={() => set(key, v)} />
          <span>{choiceWords(v)}</span>
        </label>
      ))}
    </fieldset>
  );
}

/** PeopleField takes names: members by a touch, others by typing. */
function PeopleField(p: FieldProps) {
  const { key } = p.place;
  const names = namesIn(p.texts[key]);
  const left = p.test.members.filter((m) => !names.includes(m.name));
  return (
    <div>
      <TextField {...common(p)} long hint="One name on each line." text={p.texts[key] ?? ""} onText={(t) => p.set(key, t)} />
      {left.length > 0 ? (
        <select class="add-name" aria-label={`Add a member to: ${labelOf(p.place.field, p.place.entry)}`} value="" onChange={(e) => p.set(key, [...names, e.currentTarget.value].join("\n"))}>
          <option value="">add a member …</option>
          {left.map((m) => (
            <option key={m.id}>{m.name}</option>
          ))}
        </select>
      ) : null}
    </div>
  );
}

/** InstrumentField takes a gauge of the register; one that will not do says why. */
function InstrumentField(p: FieldProps) {
  const { key } = p.place;
  const { loaded, again } = useLoad<Schema<"InstrumentList">>(() => ask(api.GET("/api/v1/instruments")), []);
  if (loaded.state !== "here") {
    return <Waiting loaded={loaded} again={again} />;
  }
  const gauges = loaded.data.items.filter((i) => i.kind === "pressure_gauge" && i.retired === null);
  const chosen = gauges.find((i) => String(i.id) === p.texts[key]);
  if (gauges.length === 0) {
    return (
      <p class="warn">
        <b>The register has no pressure gauge.</b> A keeper puts one in on the page Group, with its serial number, scale, class and calibration.
      </p>
    );
  }
  return (
    <div>
      <Field {...common(p)} note={chosen?.unfit ?? ""}>
        {(control) => (
          <select {...control} value={p.texts[key] ?? ""} onChange={(e) => p.set(key, e.currentTarget.value)}>
            <option value="">choose …</option>
            {gauges.map((i) => (
              <option key={i.id} value={i.id}>
                {i.name}, no. {i.serial || "unknown"}
                {i.unfit ? " (will not do)" : ""}
              </option>
            ))}
          </select>
        )}
      </Field>
      <NumberWithUnit
        name={idOf(p.item, `${key}-height`)}
        label="Its height above the lowest point"
        optional
        hint="Water presses harder further down. Left empty, the target counts for wherever it sits."
        text={p.texts[`${key}-height`] ?? ""}
        onText={(t) => p.set(`${key}-height`, t)}
        unit={unitOf("m")}
        brief
      />
    </div>
  );
}

/** PictureField takes pictures from the camera or those that are there, and says which are sent. */
function PictureField({ item, place, pictures, fault }: FieldProps) {
  const id = idOf(item, place.key);
  const own = pictures.taken.filter((t) => t.place === place.key);
  const choose = (e: Event & { currentTarget: HTMLInputElement }) => {
    const files = [...(e.currentTarget.files ?? [])];
    e.currentTarget.value = ""; // so that the same file can be chosen again
    pictures.add(place.key, files);
  };
  return (
    <div class={fault ? "field faulty" : "field"} role="group" aria-labelledby={`${id}-label`}>
      <p class="label" id={`${id}-label`}>
        {labelOf(place.field, place.entry)}
      </p>
      {fault ? <p class="fault">{fault}</p> : null}
      <div class="row">
        <label class="do second take">
          Take a picture
          <input class="unseen" id={id} type="file" accept="image/jpeg,image/png" capture="environment" onChange={choose} />
        </label>
        <label class="do second take">
          Choose one
          <input class="unseen" type="file" accept="image/jpeg,image/png" multiple onChange={choose} />
        </label>
      </div>
      {own.length > 0 ? (
        <ul class="taken">
          {own.map((t) => (
            <TakenLine key={t.key} of={t} remove={() => pictures.remove(t.key)} />
          ))}
        </ul>
      ) : null}
    </div>
  );
}

function TakenLine({ of, remove }: { of: Picture; remove: () => void }) {
  const [url, setUrl] = useState("");
  useEffect(() => {
    const made = URL.createObjectURL(of.body);
    setUrl(made);
    return () => URL.revokeObjectURL(made);
  }, [of.key]);
  return (
    <li>
      {url ? <img src={url} alt={of.name} /> : null}
      <span role="status">{of.id === null ? "not sent yet" : "sent"}</span>
      <button type="button" class="plain" aria-label={`Take ${of.name} out`} onClick={remove}>
        Take out
      </button>
    </li>
  );
}

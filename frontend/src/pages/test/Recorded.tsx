import { useState } from "preact/hooks";
import { api, ask } from "../../api/client";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import type { Trouble } from "../../api/problem";
import { Dialog } from "../../parts/Dialog/Dialog";
import { dated, when } from "../../words";
import type { TestEntry, TestField, TestItem } from "./fetch";
import { numberOf, partOf, textOf } from "./given";
import { choiceWords, labelOf, shortDigest, writeIn } from "./words";

/** Recorded is what was recorded for an item, as it counts. */
export function Recorded({ item, entry, project }: { item: TestItem; entry: TestEntry; project: number }) {
  return (
    <div class="recorded">
      <dl>
        {item.fields.map((f) => (f.name in entry.values ? <Values key={f.name} field={f} value={entry.values[f.name]} project={project} /> : null))}
        {item.asks.map((a) =>
          a.name in entry.values ? (
            <div key={a.name}>
              <dt>{a.text}</dt>
              <dd>{entry.values[a.name] === true ? "yes" : "no"}</dd>
            </div>
          ) : null,
        )}
      </dl>
      <p class="small quiet">
        Recorded {when(entry.at)} by {entry.who.name}
        {entry.sent_by.id === entry.who.id ? "" : `, on the device of ${entry.sent_by.name}`}
        {entry.device_at ? `, ${when(entry.device_at)} by the clock of the device` : ""}.
        {entry.from_paper ? (
          <>
            {" "}
            From paper, signed {when(entry.from_paper.at)}: <PictureLink project={project} file={entry.from_paper.file} name="its photograph" />.
          </>
        ) : null}
      </p>
    </div>
  );
}

function Values({ field: f, value, project }: { field: TestField; value: unknown; project: number }) {
  const entries = f.repeats && Array.isArray(value) ? (value as unknown[]) : [value];
  return (
    <>
      {entries.map((v, i) => (
        <div key={i}>
          <dt>{labelOf(f, i)}</dt>
          <dd>{f.kind === "photo" ? <Photos value={v} project={project} /> : sayValue(f, v)}</dd>
        </div>
      ))}
    </>
  );
}

/** sayValue says a recorded value in words. */
export function sayValue(f: Pick<TestField, "kind" | "unit" | "ticks">, v: unknown): string {
  if (typeof v === "boolean") {
    return v ? "yes" : "no";
  }
  if (typeof v === "number") {
    return f.kind === "confirm" ? `${v}, each one` : writeIn(v, f.unit);
  }
  if (typeof v === "string") {
    return f.kind === "choice" ? choiceWords(v) : dated(shortDigest(v));
  }
  if (Array.isArray(v)) {
    return v.map((x: unknown) => textOf(x)).filter(Boolean).join(", ");
  }
  const full = numberOf(v, "full_scale_bar");
  const said = [textOf(v, "name"), `no. ${textOf(v, "serial")}`, full === null ? "" : `0 to ${writeIn(full, "bar")}`, `class ${textOf(v, "class_pct")}`, `calibrated ${dated(textOf(v, "calibrated_on"))}`];
  return v === undefined || v === null ? "" : said.filter(Boolean).join(", ");
}

/** filesOf finds the numbers of pictures in what was recorded. */
export function filesOf(v: unknown): number[] {
  if (typeof v === "number") {
    return [v];
  }
  if (Array.isArray(v)) {
    return v.flatMap(filesOf);
  }
  const inner = partOf(v, "value");
  return inner === undefined ? [] : filesOf(inner);
}

function Photos({ value, project }: { value: unknown; project: number }) {
  return (
    <>
      {filesOf(value).map((file, i) => (
        <PictureLink key={file} project={project} file={file} name={`picture ${i + 1}`} />
      ))}
    </>
  );
}

/** PictureLink opens a picture of the project in place. */
export function PictureLink({ project, file, name }: { project: number; file: number; name: string }) {
  const [url, setUrl] = useState("");
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const open = async () => {
    const a = await ask(api.GET("/api/v1/projects/{project}/files/{file}", { params: { path: { project, file } }, parseAs: "blob" }));
    if (a.ok && a.data instanceof Blob) {
      setUrl(URL.createObjectURL(a.data));
    } else if (!a.ok) {
      setTrouble(a.trouble);
    }
  };
  const close = () => {
    URL.revokeObjectURL(url);
    setUrl("");
  };
  return (
    <>
      <button type="button" class="plain picture-link" onClick={() => void open()}>
        {name}
      </button>
      {trouble ? <TroubleNote trouble={trouble} /> : null}
      {url ? (
        <Dialog title={name} wide onClose={close}>
          <img class="whole-picture" src={url} alt={name} />
        </Dialog>
      ) : null}
    </>
  );
}

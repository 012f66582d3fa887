import { useState } from "preact/hooks";
import type { Schema } from "../../api/client";
import { useUnits, type Units } from "../../system";
import { valueAt } from "../sheet/fields";
import { sentence } from "./form";
import { write, type CalcField } from "./measure";

type Description = Schema<"CalcDescription">;

interface ResultProps {
  d: Description;
  result: Record<string, unknown>;
  input: unknown;
}

/** Result is what a calculation gives; each line opens to say where it comes from. */
export function Result({ d, result, input }: ResultProps) {
  return (
    <ul class="numbers">
      {once(d.outputs).map((f) => (
        <Line key={f.at} f={f} d={d} result={result} input={input} />
      ))}
    </ul>
  );
}

const converted = new Set(["m³/s", "m³", "m", "Pa", "Wh", "s", "W"]);

/** once leaves one of several outputs that are the same number in different units: the page writes the reader's own. */
function once(outputs: CalcField[]): CalcField[] {
  return outputs.filter((f, i) => {
    const same = outputs.filter((x) => x.kind === "number" && f.kind === "number" && x.about === f.about);
    return same.length < 2 || (same.find((x) => converted.has(x.unit ?? "")) ?? same[0]) === outputs[i];
  });
}

function Line({ f, d, result, input }: ResultProps & { f: CalcField }) {
  const units = useUnits();
  const [open, setOpen] = useState(false);
  const text = say(f, valueAt(result, f.at), units, d.codes);
  return (
    <li>
      <details onToggle={(e) => setOpen(e.currentTarget.open)}>
        <summary>
          <span class="quiet">{sentence(f.about)}</span> {text.endsWith(".") ? <span class="said">{text}</span> : <b class="value">{text}</b>}
        </summary>
        {open ? <Whence f={f} d={d} result={result} input={input} /> : null}
      </details>
    </li>
  );
}

/** say writes any value of a field in words and the reader's units. */
export function say(f: CalcField, value: unknown, units: Units, codes: Record<string, string> = {}): string {
  if (Array.isArray(value)) {
    const said = value.map((v) => (Array.isArray(v) ? `(${say(f, v, units, codes)})` : say(f, v, units, codes)));
    return said.length === 0 ? "none" : said.join(said.some((s) => s.endsWith(".")) ? " " : "; ");
  }
  switch (typeof value) {
    case "number":
      return f.kind === "count" ? String(value) : write(f, value, units);
    case "boolean":
      return value ? "yes" : "no";
    case "string":
      return codes[value] ?? value.replace(/_(\d)_(\d)/, " $1.$2").replaceAll("_", " ");
    case "object":
      return value === null ? "none" : members(f, value as Record<string, unknown>, units, codes);
    default:
      return "none";
  }
}

/** members writes an object: its name first, then each of its numbers behind what it is called. */
function members(f: CalcField, { name, ...rest }: Record<string, unknown>, units: Units, codes: Record<string, string>): string {
  const said = Object.entries(rest).map(([key, v]) => `${key.replaceAll("_", " ")} ${say(f, v, units, codes)}`);
  return (typeof name === "string" ? `${name}: ` : "") + said.join(", ");
}

/** Whence says where one output comes from: equation, source, and the values that stand in it. */
function Whence({ f, d, result, input }: ResultProps & { f: CalcField }) {
  const units = useUnits();
  const entries = (f.from ?? []).flatMap((at): [string, string][] => {
    const output = d.outputs.find((o) => o.at === at);
    const given = d.inputs.find((i) => i.at === at);
    const value = output ? valueAt(result, at) : valueAt(input, at);
    const of = output ?? given;
    if (!of || of.kind === "records" || of.kind === "object") {
      return [];
    }
    if (value === undefined || value === null) {
      return given?.default ? [[of.about, `${preset(given, units)}, as nothing else was said`]] : [];
    }
    return typeof value === "object" && !Array.isArray(value) ? [] : [[of.about, say(of, value, units, d.codes)]];
  });
  return (
    <div class="origin">
      <p>
        <span class="quiet">Equation</span> <span class="equation">{f.equation}</span>
      </p>
      <p>
        <span class="quiet">Source</span> {f.source}
      </p>
      {entries.length > 0 ? (
        <dl class="answers">
          {entries.map(([name, text]) => (
            <div key={name}>
              <dt>{sentence(name)}</dt>
              <dd>{text}</dd>
            </div>
          ))}
        </dl>
      ) : null}
    </div>
  );
}

const preset = (f: CalcField, units: Units) => (f.default !== undefined && Number.isFinite(Number(f.default)) ? write(f, Number(f.default), units) : (f.default ?? ""));

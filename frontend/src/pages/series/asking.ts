/** What is typed of a window, as texts, and the window that they ask for. */
import type { Schema } from "../../api/client";
import type { Fault } from "../../api/problem";
import type { Entry } from "../../parts/ErrorSummary/ErrorSummary";
import type { Units } from "../../system";
import { understand } from "../../typed";
import { spanOf, unitNamed, type Unit } from "../../units";
import type { Instrument } from "../instruments/facts";
import type { Measurable, RunForm } from "../run/fetch";
import type { Column } from "./fetch";

export type Texts = Record<string, string>;

/** What is chosen in place of a quantity for the pressure of a vessel that is shut in. */
export const leak = "leak";

const second = unitNamed("time", "s");
const kelvins = spanOf(unitNamed("temperature", "K"));

/** siOf is the SI unit of the channels that a quantity of this unit is read from. */
const siOf: Record<string, string> = { Pa: "Pa", "m³/s": "m3/s", m: "m", "°C": "K", Hz: "1/s", "": "1", "m³": "m3" };

/** choicesFor are the quantities and conditions that a channel can be a reading of. */
export const choicesFor = (c: Pick<Column, "unit">, form: Pick<RunForm, "quantities" | "conditions">): Measurable[] =>
  [...form.quantities, ...form.conditions].filter((m) => !m.derived && siOf[m.unit] === c.unit);

/** fitFor are the instruments that a channel may come from: those of its unit, and loggers, which are kept in units of their own. */
export const fitFor = (c: Pick<Column, "unit">, all: Instrument[]): Instrument[] => all.filter((i) => !i.retired && (siOf[i.unit] === c.unit || i.kind === "logger" || i.kind === "other"));

/** countedOf is what a pressure counts from: what the file says, else what is chosen. */
export const countedOf = (c: Pick<Column, "name" | "counted">, texts: Texts): string => c.counted || (texts[`counted ${c.name}`] ?? "");

/** Where something is asked of the n-th channel of a file: the id of its control. */
export const placeOf = (what: "quantity" | "instrument" | "counted", n: number) => `window-${what}-${n}`;

export interface Made {
  window: Omit<Schema<"TakeWindow">, "client_key" | "file" | "logger"> | null;
  faults: Entry[];
  /** Of each channel that is sent, which of the file it is. */
  order: number[];
}

/** windowOf makes the window, or says what is wrong with it. A channel that nothing is chosen for stays out. */
export function windowOf(channels: Column[], texts: Texts, units: Units): Made {
  const faults: Entry[] = [];
  const read = (field: string, what: string, unit: Unit): number | undefined => {
    const u = understand(texts[field] ?? "", unit);
    if (u.kind === "unclear") {
      faults.push({ field: `window-${field}`, message: `${what}: ${u.message}` });
    }
    return u.kind === "value" ? Number(u.base.toPrecision(12)) : undefined;
  };
  const point = Number(texts["point"] ?? "");
  if (!Number.isInteger(point) || point < 1) {
    faults.push({ field: "window-point", message: "Choose the point that it is a reading of." });
  }
  const from = read("from", "Begin", second);
  const to = read("to", "End", second);
  const order = channels.flatMap((c, n) => (texts[`quantity ${c.name}`] ? [n] : []));
  if (order.length === 0) {
    faults.push({ field: placeOf("quantity", 0), message: "Say of one column at least what it measures." });
  }
  const asked = order.flatMap((n) => {
    const c = channels[n];
    return c ? [channelOf(c, texts)] : [];
  });
  const vessel = asked.some((a) => a.decay) ? vesselOf(texts, read, faults, units) : undefined;
  const window = { point, channels: asked, ...(from === undefined ? {} : { from_s: from }), ...(to === undefined ? {} : { to_s: to }), ...(vessel ? { vessel } : {}) };
  return { window: faults.length === 0 ? window : null, faults, order };
}

const look = "look";

/** What is chosen for a column that is only looked at. */
export const onlyLooked = look;

function channelOf(c: Column, texts: Texts): Schema<"AskedChannel"> {
  const chosen = texts[`quantity ${c.name}`] ?? "";
  const instrument = Number(texts[`instrument ${c.name}`] ?? "");
  const counted = countedOf(c, texts);
  return {
    channel: c.name,
    ...(chosen === leak ? { decay: true } : chosen === look ? {} : { quantity: chosen }),
    ...(instrument > 0 ? { instrument } : {}),
    ...(c.kind === "pressure" && (counted === "gauge" || counted === "absolute") ? { counted } : {}),
  };
}

function vesselOf(texts: Texts, read: (field: string, what: string, unit: Unit) => number | undefined, faults: Entry[], units: Units): Schema<"AskedVessel"> | undefined {
  const volume = read("volume", "Volume", units.typed("volume"));
  const u_volume = read("u_volume", "Uncertainty of the volume", units.typed("volume"));
  const ambient = read("ambient", "Air pressure", unitNamed("pressure", "hPa"));
  const u_change = read("u_change", "Change of the gas", kelvins);
  if (volume === undefined) {
    faults.push({ field: "window-volume", message: "Give the volume that was shut in: without it the fall of the pressure tells no leak." });
    return undefined;
  }
  return {
    volume_m3: volume,
    ...(u_volume === undefined ? {} : { u_volume_m3: u_volume }),
    ...(ambient === undefined ? {} : { ambient_pa: ambient }),
    ...(texts["ambient_channel"] ? { ambient_channel: texts["ambient_channel"] } : {}),
    ...(texts["gas_channel"] ? { gas_channel: texts["gas_channel"] } : {}),
    ...(u_change === undefined ? {} : { u_change_k: u_change }),
  };
}

const vesselFields: Record<string, string> = { volume_m3: "volume", u_volume_m3: "u_volume", ambient_pa: "ambient", ambient_channel: "ambient_channel", gas_channel: "gas_channel", u_change_k: "u_change" };

/** entriesOf puts the faults of the notebook to the controls that they are about. */
export function entriesOf(faults: Fault[], order: number[]): Entry[] {
  return faults.map((f) => {
    const [, at = "", n = "", what = ""] = f.pointer.split("/");
    if (at === "channels") {
      const place = what === "instrument" || what === "counted" ? what : "quantity";
      return { field: placeOf(place, order[Number(n)] ?? 0), message: f.message };
    }
    const field = at === "vessel" ? (vesselFields[n] ?? "volume") : at === "to_s" ? "to" : at === "point" ? "point" : "from";
    return { field: `window-${field}`, message: f.message };
  });
}

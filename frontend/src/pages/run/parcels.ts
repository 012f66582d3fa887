import type { Putting } from "../../outbox/outbox";
import type { Parcel } from "../../outbox/store";
import type { Setting } from "./fetch";
import type { Made } from "./reading";
import { settingWords } from "./words";

/** Whose run it is that something is sent to. */
export interface Sending {
  account: number;
  project: number;
  build: number;
  run: number;
}

/** A point of a run: of the notebook by its number, or of this browser only, by the key of its parcel. */
export interface PointRef {
  name: string;
  setting: Setting;
  note: string;
  number: number | null;
  key: string | null;
}

/** aboutRun names what the outbox has of one run. */
export const aboutRun = (s: Omit<Sending, "account">) => `run ${s.run} of ${s.build}`;

const under = (s: Sending, rest: string) => `/api/v1/projects/${s.project}/builds/${s.build}/runs/${s.run}/${rest}`;
const common = (s: Sending, key: string) => ({ account: s.account, about: aboutRun(s), key });

/** pointParcel is an operating point on its way. */
export function pointParcel(s: Sending, name: string, setting: Setting, note: string, key: string): Putting {
  const body = { name, setting, client_key: key, ...(note === "" ? {} : { note }) };
  return { ...common(s, key), says: `Point “${name}”: ${settingWords[setting]}`, path: under(s, "points"), body, finding: { list: "points", name } };
}

/** readingParcel is a reading on its way, to a point that may be on its way itself. */
export function readingParcel(s: Sending, point: PointRef, title: string, reading: NonNullable<Made["reading"]>, key: string, now: Date): Putting {
  const to = point.number === null ? `{${point.key ?? ""}}` : String(point.number);
  const typed = reading.typed.texts.join(", ");
  return {
    ...common(s, key),
    says: `${title} at “${point.name}”: ${typed.length > 60 ? `${reading.typed.texts.length} values` : typed} ${reading.typed.unit}`.trim(),
    path: under(s, `points/${to}/readings`),
    body: { ...reading, device_at: now.toISOString(), client_key: key },
  };
}

/** strikeParcel is a strike on its way; position is null for the whole reading. */
export function strikeParcel(s: Sending, reading: number, title: string, position: number | null, reason: string, key: string): Putting {
  const what = position === null ? "a reading" : `value ${position} of a reading`;
  return { ...common(s, key), says: `Strike of ${what} of ${title}: ${reason}`, path: under(s, `readings/${reading}/strikes`), body: { position, reason, client_key: key } };
}

/** pointsIn are the points that only this browser has. */
export function pointsIn(parcels: Parcel[]): PointRef[] {
  return parcels.flatMap((p) => {
    const body = p.body instanceof Blob ? {} : p.body;
    const { name, setting, note } = body;
    return p.finding && typeof name === "string" && isSetting(setting) ? [{ name, setting, note: typeof note === "string" ? note : "", number: null, key: p.key }] : [];
  });
}

const isSetting = (v: unknown): v is Setting => typeof v === "string" && v in settingWords;

/** readingsIn are the readings of a point that only this browser has, by quantity. */
export function readingsIn(parcels: Parcel[], point: PointRef): string[] {
  const to = `/points/${point.number === null ? `{${point.key ?? ""}}` : point.number}/readings`;
  return parcels.flatMap((p) => (p.path.endsWith(to) && !(p.body instanceof Blob) && typeof p.body["quantity"] === "string" ? [p.body["quantity"]] : []));
}

import type { Schema } from "../../api/client";
import { labels } from "../sheet/labels";
import { listed } from "../../words";
import type { Measurable, Run, Setting } from "./fetch";
import type { Named } from "./measure";

/** How the air is taken at a point. */
export const settingWords: Record<Setting, string> = {
  as_drawn: "as the sheet draws it",
  all: "all air, at the highest pressure",
  held: "a pressure held in the receiver",
  open: "wide open",
  shut: "valve shut",
};

/** What is done at the valve for it. */
export const settingMeans: Record<Setting, string> = {
  as_drawn: "The valve stands as the machine is meant to run.",
  all: "The valve is closed until bubbles just begin to leave by the riser, then opened a hair.",
  held: "The valve is turned until the receiver holds a pressure, which is read as well.",
  open: "The valve is wide open, the air goes out freely.",
  shut: "The valve is closed. The pressure rises as high as it can: stay outside the distance.",
};

/** What a point is called unless somebody says otherwise. */
export const pointNames: Record<Setting, string> = { as_drawn: "As drawn", all: "All air", held: "Held", open: "Wide open", shut: "Valve shut" };

/** newName is a name for a point that none has yet. */
export function newName(setting: Setting, taken: string[]): string {
  return unused(pointNames[setting], taken);
}

/** unused numbers a name until none has it. */
export function unused(name: string, taken: string[]): string {
  const has = (n: string) => taken.some((t) => t.toLowerCase() === n.toLowerCase());
  let n = 2;
  let made = name;
  while (has(made)) {
    made = `${name} ${n++}`;
  }
  return made;
}

/** repeatOf is the point that the first one is repeated by at the end; null while there is one already, or nothing to repeat after. */
export function repeatOf(points: { name: string; setting: Setting }[]): { name: string; setting: Setting } | null {
  const first = points[0];
  const last = points.at(-1);
  if (!first || !last || points.length < 2 || last.name.startsWith(`${first.name}, again`)) {
    return null;
  }
  return { name: unused(`${first.name}, again`, points.map((p) => p.name)), setting: first.setting };
}

/** titleOf is what a builder calls something measured. */
export function titleOf(m: Pick<Named, "name" | "title">): string {
  const title = labels[m.name] ?? m.title;
  return own[m.name] ?? title.charAt(0).toUpperCase() + title.slice(1);
}

/** Beside the machine a condition is read, and not said as on a sheet. */
const own: Record<string, string> = { "/site/p_amb_pa": "Air pressure", "/site/rh": "Humidity of the air", "/supply/level_m": "Level of the water above", "/riser/outlet_m": "Level of the water below", "/takeoff/receiver_gauge_pa": "Pressure held in the receiver, gauge" };

const delivered = ["delivery_pressure_pa", "free_air_m3s", "water_flow_m3s"];
/** What is read at a point of a trompe by its setting. */
const atSetting: Record<Setting, string[]> = { as_drawn: delivered, all: delivered, open: delivered, held: ["/takeoff/receiver_gauge_pa", "free_air_m3s", "water_flow_m3s"], shut: ["highest_pressure_pa", "water_flow_m3s"] };
/** isHeld tells the pressure that is held at a point from the conditions of the hour: it is set by hand. */
export const isHeld = (name: string) => name === "/takeoff/receiver_gauge_pa";

/** asked parts what can be read at a point: what belongs to its setting, the conditions, and what may be read besides. */
export function asked(form: Pick<Run["form"], "quantities" | "conditions">, setting: Setting): { quantities: Measurable[]; conditions: Measurable[]; more: Measurable[] } {
  const read = form.quantities.filter((q) => !q.derived);
  const all = [...read, ...form.conditions];
  const wanted = atSetting[setting].flatMap((name) => all.filter((m) => m.name === name));
  const quantities = read.some((q) => q.name === "delivery_pressure_pa") ? wanted : read;
  const conditions = form.conditions.filter((c) => !isHeld(c.name));
  const more = read.filter((q) => !quantities.includes(q));
  return { quantities, conditions, more };
}

/** unread names what a run is judged by and nothing was read of that counts. */
export function unread(run: Run): Measurable[] {
  const read = new Set(run.points.flatMap((p) => [...p.readings, ...p.windows.flatMap((w) => w.channels)].filter((r) => r.counts).map((r) => r.quantity)));
  const held = read.has("/takeoff/receiver_gauge_pa");
  return run.form.quantities.filter((q) => run.required.includes(q.name) && !read.has(q.name) && !(held && q.name === "delivery_pressure_pa"));
}

/** Why a quantity can decide nothing, in words. */
const reasons: Record<string, string> = {
  incomplete_record: "Its record is incomplete, so nobody can say how far it may be off.",
  no_promise: "Nothing was promised of it.",
  repeatability_unknown: "It was read once: how much it scatters is not known.",
  run_too_short: "It was read over too short a time.",
  not_steady: "It was not steady while it was read.",
};

/** sayReason puts such a reason into a sentence; nothing for none. */
export const sayReason = (reason: string | null) => (reason ? (reasons[reason] ?? `It can decide nothing: ${reason.replaceAll("_", " ")}.`) : "");

/** sayCertificate says before it is read what becomes of readings of pressure and air. */
export function sayUncertified({ valid, reasons: why }: Schema<"CertificateNow">): string {
  return valid ? "" : `The machine has no valid certificate, so it must not be under pressure. Readings of pressure and air will be kept and marked, and never counted. ${why.join(" ")}`.trim();
}

/** judgedBy lists what a run is judged by. */
export function judgedBy(run: Pick<Run, "required" | "form">): string {
  const names = run.form.quantities.filter((q) => run.required.includes(q.name)).map((q) => q.title.split(",")[0] ?? q.title);
  return names.length === 0 ? "nothing: it is only recorded" : listed(names);
}

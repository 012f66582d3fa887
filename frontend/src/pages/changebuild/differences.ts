/**
 * What differs in a machine from its sheet, as texts that a person types. The
 * server says which places of the sheet may differ (may_differ); an empty text
 * stands for what the sheet says. Start at startTexts and changeOf.
 */
import type { Schema } from "../../api/client";
import type { Entry } from "../../parts/ErrorSummary/ErrorSummary";
import { otherThan, textFor, unitsIn, type Units } from "../../system";
import { withItsUnit } from "../../tolerance";
import { understand } from "../../typed";
import { show } from "../../units";
import type { Build } from "../build/fetch";
import { labelOf, put, unitOf, useOf, valueAt, type CalcField } from "../sheet/fields";
import { roleWords } from "../sheet/MayBuild";

export type Place = Schema<"MayDiffer">;
export type ChangeTexts = Record<string, string>;
type Input = Schema<"SheetInput">;

/** fieldOf makes of a place the field that the sheet's own page shows there. */
export function fieldOf(p: Place): CalcField {
  return { at: p.at.replace(/^\/trompe(?=\/)/, ""), kind: p.kind, about: p.about, ...(p.unit === "" ? {} : { unit: p.unit }) };
}

/** nameOf is the name of the field for a place, or for what is renewed there. */
export const nameOf = (at: string) => `differs${at.replaceAll("/", "-")}`;
export const renewName = (at: string) => `renew${at.replaceAll("/", "-")}`;
/** Under "shown" stand the pointers whose fields are shown, parted by spaces. */
export const shownIn = (texts: ChangeTexts): string[] => (texts["shown"] ?? "").split(" ").filter(Boolean);

const groups: Record<string, string> = { n_parallel: "Intake", takeoff: "Take-off", air_line: "Air line", supply_pipe: "Supply pipe" };

/** partOf names the part of the machine that a pointer belongs to. */
export function partOf(at: string, input: Input): string {
  const [group = "", entry = ""] = at.replace(/^\/trompe(?=\/)/, "").slice(1).split("/");
  if (group === "parts") {
    const text = (field: string) => {
      const v = valueAt(input, `/parts/${entry}/${field}`);
      return typeof v === "string" ? v : "";
    };
    const role = roleWords[text("role")] ?? (text("role") || "Part");
    return text("name") ? `${role} “${text("name")}”` : `${role}, part ${Number(entry) + 1}`;
  }
  const name = groups[group] ?? `${group.charAt(0).toUpperCase()}${group.slice(1).replaceAll("_", " ").replace(/s$/, "")}`;
  return /^\d+$/.test(entry) ? `${name} ${Number(entry) + 1}` : name;
}

/** sayPlace names a place with its part. */
export const sayPlace = (p: Place, input: Input) => `${partOf(p.at, input)}: ${lowerFirst(labelOf(fieldOf(p)))}`;

/** sayAt names a place by its pointer; one that no list knows by the pointer itself. */
export function sayAt(at: string, places: Place[], input: Input): string {
  const p = places.find((x) => x.at === at);
  return p ? sayPlace(p, input) : at;
}

const lowerFirst = (text: string) => (/^[A-Z][a-z ]/.test(text) ? text.charAt(0).toLowerCase() + text.slice(1) : text);

/** writeAt writes a value at a place in the reader's units; null stands for its default. */
export function writeAt(p: Place, value: number | null, units: Units): string {
  if (value === null) {
    return "the usual";
  }
  const f = fieldOf(p);
  return p.kind === "count" ? String(value) : show(value, units.shown(value, useOf(f)), 5);
}

/** sayRenewed names what can be renewed like for like. */
export function sayRenewed(at: string, input: Input): string {
  if (at === "/facts/relief_set_pa") {
    return "The relief valve";
  }
  const joint = at.endsWith("/joint");
  return joint ? `${partOf(at, input)}: its joint` : partOf(at, input);
}

/** startTexts writes a machine as it stands as one would type it. */
export function startTexts(b: Build, units: Units): ChangeTexts {
  const texts: ChangeTexts = { units: units.system, place: b.now.place, note: "", shown: Object.keys(b.now.differences).join(" ") };
  for (const p of b.may_differ) {
    const v = b.now.differences[p.at];
    texts[nameOf(p.at)] = v === undefined ? "" : typedOf(p, v, units);
  }
  for (const at of b.renewable) {
    texts[renewName(at)] = "";
  }
  return texts;
}

function typedOf(p: Place, value: number, units: Units): string {
  const f = fieldOf(p);
  return textFor(value, unitOf(f, units), unitOf(f, otherThan(units)));
}

/** inUnits goes on with texts typed under another system: each bare number gets its unit written after it. */
export function inUnits(places: Place[], texts: ChangeTexts, units: Units): ChangeTexts {
  const from = unitsIn(texts["units"]);
  const named: ChangeTexts = { ...texts, units: units.system };
  for (const p of places) {
    const [was, is] = [unitOf(fieldOf(p), from), unitOf(fieldOf(p), units)];
    if (was.name !== is.name) {
      named[nameOf(p.at)] = withItsUnit(texts[nameOf(p.at)] ?? "", was);
    }
  }
  return named;
}

/** differencesOf reads what was typed, and lists what could not be read. A value that the sheet has anyway is no difference. */
export function differencesOf(places: Place[], input: Input, texts: ChangeTexts): { differences: Record<string, number>; faults: Entry[] } {
  const differences: Record<string, number> = {};
  const faults: Entry[] = [];
  const units = unitsIn(texts["units"]);
  for (const p of places) {
    const read = understand(texts[nameOf(p.at)] ?? "", unitOf(fieldOf(p), units));
    if (read.kind === "unclear") {
      faults.push({ field: nameOf(p.at), message: `${sayPlace(p, input)}: ${read.message}` });
    } else if (read.kind === "value") {
      const value = Number(read.base.toPrecision(12));
      if (value !== p.value) {
        differences[p.at] = value;
      }
    }
  }
  return { differences, faults };
}

/** withDifferences is the sheet of a machine with other differences than it stands with now; what takes its default is left open. */
export function withDifferences(b: Build, differences: Record<string, number>): Input {
  const input: Record<string, unknown> = structuredClone(b.now.input);
  for (const p of b.may_differ) {
    const value = differences[p.at] ?? p.value;
    if (value !== null || valueAt(input, p.at) !== undefined) {
      put(input, p.at, value);
    }
  }
  return input;
}

/** changeOf makes the request of what was typed. */
export function changeOf(b: Build, texts: ChangeTexts): { body: Schema<"ChangeBuild">; faults: Entry[] } {
  const { differences, faults } = differencesOf(b.may_differ, b.now.input, texts);
  const renewed = b.renewable.filter((at) => texts[renewName(at)] === "yes");
  return { body: { differences, renewed, place: (texts["place"] ?? "").trim(), note: (texts["note"] ?? "").trim() }, faults };
}

/** fieldAt finds the field that a pointer of the server means. */
export function fieldAt(pointer: string, renewed: string[]): string | undefined {
  const [, what = "", rest = ""] = /^\/(\w+)(?:\/(.+))?$/.exec(pointer) ?? [];
  switch (what) {
    case "differences":
      return rest === "" ? "differs" : nameOf(rest.replaceAll("~1", "/").replaceAll("~0", "~"));
    case "renewed":
      return renewName(renewed[Number(rest)] ?? "");
    case "place":
    case "note":
      return what;
    default:
      return undefined;
  }
}

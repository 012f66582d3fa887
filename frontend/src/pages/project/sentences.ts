import type { Schema } from "../../api/client";
import type { Units } from "../../system";
import { listed } from "../../words";

type Site = Schema<"Site">;
type SheetHead = Schema<"SheetHead">;

/** What the water comes from, to begin a sentence with. */
export const sourceWords: Record<NonNullable<Site["source"]>, string> = {
  stream: "A stream over a weir",
  hose: "A hose",
  mains: "The water main",
  roof: "A roof and its gutter",
  tank: "A tank",
};

/** saySite tells in one sentence what a site gives. */
export function saySite(site: Site, units: Units): string {
  const gives = [
    site.fall_m === null ? "" : `${units.write(site.fall_m, "level")} of fall`,
    site.flow_m3s === null ? "" : units.write(site.flow_m3s, "flow"),
    site.static_pa === null ? "" : `${units.write(site.static_pa, "pressure")} at a standing hose`,
    site.t_water_c === null ? "" : `water at ${units.write(site.t_water_c, "temperature")}`,
  ].filter(Boolean);
  const from = site.source === null ? "A source not named yet" : sourceWords[site.source];
  const at = site.name === "" ? "" : ` at ${site.name}`;
  return `${from}${at}${gives.length > 0 ? `: ${gives.join(", ")}` : ""}.`;
}

/** lackingOf names what a design will ask of the site and nobody has said yet. */
export function lackingOf(site: Site): string[] {
  return [
    site.source === null ? "where the water comes from" : "",
    site.fall_m === null ? "the fall" : "",
    site.flow_m3s === null ? "the flow" : "",
  ].filter(Boolean);
}

/** sayLacking puts what is lacking into a sentence; empty when nothing is. */
export function sayLacking(site: Site): string {
  const lacking = lackingOf(site);
  return lacking.length === 0 ? "" : `Not known yet: ${listed(lacking)}.`;
}

const stopped: Partial<Record<SheetHead["answer"]["status"], string>> = {
  no_induction: "it draws no air as drawn",
  out_of_range: "it is outside of what the calculation knows",
  no_head: "nothing of the fall is left to work with",
  no_operating_point: "no flow was found at which it would run",
  blocked: "the water can’t get through",
  not_carried: "the water is too slow to carry the air down",
  choked: "the water chokes on the way",
  cavitation: "the water would boil in the cold, for want of pressure",
  starved: "there is too little water to keep it full",
};

/** saySheet tells in one sentence what the newest sheet of a design answered. */
export function saySheet(sheet: SheetHead | null, units: Units): string {
  if (!sheet) {
    return "No sheet is saved yet.";
  }
  const { status, free_air_delivered_m3s: air, chamber_gauge_pa: gauge, water_flow_m3s: water } = sheet.answer;
  const name = `Sheet ${sheet.letter}.${sheet.number}`;
  if (air === null || gauge === null) {
    return `${name} can’t work: ${stopped[status] ?? "it has no operating point"}.`;
  }
  const uses = water === null ? "" : `, from ${units.write(water, "flow")} of water`;
  return `${name} predicts ${units.write(air, "free_air")} of free air at ${units.write(gauge, "pressure")}${uses}.`;
}

/** sayWarnings counts what the sheet warns of. */
export function sayWarnings(sheet: SheetHead | null): string {
  const n = sheet?.answer.warning_count ?? 0;
  return n === 0 ? "" : n === 1 ? "It carries one warning." : `It carries ${n} warnings.`;
}

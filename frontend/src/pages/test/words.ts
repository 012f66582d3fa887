import { figures, otherUnit, unitNamed, withUnit, type Unit } from "../../units";
import type { Test, TestField, TestItem, TestRole } from "./fetch";

/** The words of the test sheet: the procedure names things shortly, people read sentences. */

export const stageWords: Record<string, string> = {
  before: "Before",
  prepare: "Prepare",
  pressurise: "Raise the pressure",
  hold: "Hold it",
  release: "Let it go",
  air: "First air",
  close: "Close",
};

/** stagesOf parts the items by their stages, in the order of the procedure. */
export function stagesOf(test: Test): { stage: string; items: TestItem[] }[] {
  const stages = [...new Set(test.items.map((i) => i.stage))];
  return stages.map((stage) => ({ stage, items: test.items.filter((i) => i.stage === stage) }));
}

/** stateOf is the word for how a test stands. */
export function stateOf(t: { ended: Test["ended"]; over: string }): string {
  return t.ended ?? (t.over === "" ? "under way" : "over");
}

export const pointWords: Record<TestItem["point"], { name: string; means: string }> = {
  review: { name: "Review point", means: "Recorded and signed; it may be signed early." },
  witness: { name: "Witness point", means: "Signed by two different people who were both there." },
  hold: { name: "Hold point", means: "Nothing after it can be recorded or signed before it is." },
};

export const roleMeans: Record<TestRole, string> = {
  builder: "somebody who built it",
  second: "a member who did not build it",
  competent: "a steward who did not build it",
};

/** sayState says how an item stands in two or three words. */
export function sayState(i: TestItem): string {
  switch (i.state) {
    case "open":
      return "to do now";
    case "waiting":
      return `waits for ${i.waits_for[0] ?? "others"}`;
    case "signing":
      return `to sign: ${i.lacks.join(", ")}`;
    case "met":
      return "met";
    case "failed":
      return "ended the test";
    case "closed":
      return i.after_failure ? "only after a failure" : "not to be done";
  }
}

/** What is asked, by the name that the procedure gives it. */
const asked: Record<string, string> = {
  review_closed: "Every remark is answered, and no finding about safety is open",
  revision_hash: "The digest of the frozen sheet",
  gas_decision: "What the notebook decided about gas in its parts",
  conditions_met: "Every condition that it lists is kept",
  legal_note: "Who was asked about the law, and what they said",
  law_checked: "Local law and insurance were looked at",
  permission: "The permission is on file",
  permission_copy: "Picture of the permission",
  services_marked: "Cables and pipes were searched for and marked",
  markings: "Picture of the marks",
  depth: "Depth of the dig",
  support_in_place: "The sides are sloped, stepped or shored",
  trench: "Picture of the dig",
  entry: "Does anybody go in?",
  oxygen: "Oxygen in the air down there",
  watcher: "Who watches from outside",
  height_plan: "The work at height is planned as said",
  ladder_foot: "Who stands at the foot of the ladder",
  rescue_ready: "Line and float are at hand, the intake is screened",
  bank_watch: "Who watches from the bank",
  backflow: "What keeps the water from going back",
  connection: "Picture of the connection",
  rcd_tested: "The residual-current device was tried and trips",
  all_lines_ticked: "Each pressure part, by line, size and batch",
  overall: "Picture of the whole machine",
  marking: "Picture of the printed marking",
  rating: "Rating as printed",
  threads_match: "Both halves of every threaded joint are of one standard",
  cure_hours: "Hours since the last joint was cemented",
  coldest: "The coldest since then",
  ventilated: "The vapour has gone from pits and pipes",
  supported: "It is supported, with the weight of the water",
  ends_restrained: "Ends and bends are held",
  supports: "Picture of the supports",
  relief_kind: "What lets the pressure out",
  relief_set: "It opens at",
  relief_bore: "Its bore",
  relief: "Picture of it",
  gauge_kind: "What the pressure is read from",
  gauge: "Which gauge",
  manometer_height: "Height of the water manometer",
  gauge_at_zero: "Picture of it at zero",
  weakest_test_part: "Rating of the weakest test part",
  zone_radius: "Distance that is taped off",
  zone_keeper: "Who alone may go in",
  zone: "Picture of the zone",
  present: "Everybody who is there",
  ppe_worn: "Eye protection is worn, gloves and boots too where things are handled",
  pipe_temp: "Temperature of the pipe",
  no_frost: "No frost, no storm, no spate",
  all_vents_ran_clear: "Each high point, once its vent ran clear without bubbles",
  air_fraction: "Air left inside, of the volume",
  p_stage1: "Pressure at the first stage",
  no_leak_seen: "No leak, no movement, no sound, seen from outside the zone",
  p_stages: "Pressure at stage",
  p_test: "Pressure on the gauge",
  t_start: "Temperature of the wall at the start",
  gauge_at_test: "Picture of the gauge",
  hold_minutes: "Minutes held",
  p_end: "Pressure on the gauge at the end",
  t_end: "Temperature of the wall at the end",
  gauge_at_end: "Picture of the gauge at the end",
  drop_verdict: "The notebook’s verdict on the drop",
  p_inspect: "Pressure while somebody looks",
  joints_dry: "Each joint, looked at and wiped dry",
  joints: "Picture of the joints",
  p_zero: "Pressure on the gauge now",
  vent_open: "A high vent is open, and nothing flows any more",
  drained: "It is drained, and no low point can freeze",
  water_test_passed: "The water test was passed",
  air_zone: "Distance that is taped off for air",
  p_air_low: "Air pressure of the first breath",
  quiet: "It was quiet for ten minutes",
  p_air: "Air pressure reached",
  relief_opened_at: "The relief or blow-off opened by itself at",
  noise: "Noise where people stand",
  signs: "Picture of the signs",
  water_temp: "Temperature of the water",
  flush_plan: "It is flushed or drained after each use",
  tag: "Picture of the tag in its place",
  tag_revision: "Digest of the sheet, as the tag has it",
  expires_on: "Last day of the certificate",
  winter_note: "How to drain it before frost",
  winter_person: "Who does it",
  nonconformance_id: "What failed, and the cause if it is known",
  disposition: "What happens to the part",
  failure: "Picture of what failed",
};

const said = (name: string) => name.charAt(0).toUpperCase() + name.slice(1).replaceAll("_", " ");

/** labelOf is what is asked by a field; of one that is repeated, for which part or stage. */
export function labelOf(f: TestField, entry: number): string {
  const label = asked[f.name] ?? said(f.name);
  if (!f.repeats) {
    return label;
  }
  const own = f.entries[entry]?.label ?? "";
  const of = own.startsWith(said(f.name)) ? own.slice(said(f.name).length).replace(/^,/, "").trim() : own;
  return /^\d+$/.test(of) ? `${label} ${of}` : `${label}: ${of}`;
}

const choices: Record<string, string> = {
  none: "nobody goes in",
  planned: "somebody must, as planned",
  relief_valve: "a relief valve",
  open_standpipe: "an open standpipe",
  blow_off: "the blow-off of the machine",
  gauge: "a pressure gauge of the register",
  manometer: "an open water manometer",
  air_gap: "an air gap",
  preventer: "a backflow preventer",
  replace: "cut out and replaced",
  scrap: "scrapped",
  redesign: "designed anew",
  use_as_is_unpressurised: "used as it is, never under pressure",
  allowed: "allowed",
  conditional: "allowed with conditions",
  not_allowed: "not allowed",
};

/** choiceWords says a choice of the procedure as people do. */
export const choiceWords = (value: string) => choices[value] ?? value.replaceAll("_", " ");

const units: Record<string, Unit> = {
  bar: unitNamed("pressure", "bar"),
  m: unitNamed("length", "m"),
  mm: unitNamed("length", "mm"),
  degC: unitNamed("temperature", "°C"),
  h: unitNamed("time", "h"),
  min: unitNamed("time", "min"),
  "%": unitNamed("number", "%"),
};

/** unitOf is the unit in which the procedure takes a reading. */
export const unitOf = (name: string): Unit => units[name] ?? otherUnit(name);

/** writeIn writes a reading in the unit of the procedure. */
export const writeIn = (x: number, unit: string, significant = 5) => withUnit(figures(x, significant), unitOf(unit));

/** sayLimits says in words what will do, and what that goes by; empty where anything does. */
export const sayLimits = (f: TestField, entry: number) => [sayBounds(f, entry), f.entries[entry]?.goes_by ?? ""].filter(Boolean).join(" ");

function sayBounds(f: TestField, entry: number): string {
  const e = f.entries[entry];
  if (!e) {
    return "";
  }
  const [least, most] = [e.low === null ? null : passing(e.low, Math.ceil), e.high === null ? null : passing(e.high, Math.floor)];
  const low = least === null ? "" : writeIn(least, f.unit);
  const high = most === null ? "" : writeIn(most, f.unit);
  if (low && high) {
    return e.above_low ? `Must be more than ${low}, ${e.below_top ? "less than" : "at most"} ${high}.` : `Must be from ${figures(least ?? 0, 5)} to ${e.below_top ? "less than " : ""}${high}.`;
  }
  if (low) {
    return `Must be ${e.above_low ? "more than" : "at least"} ${low}.`;
  }
  if (high) {
    return `Must be ${e.below_top ? "less than" : "at most"} ${high}.`;
  }
  return e.limits === "" ? "" : "Its limits are known once the readings before it are recorded.";
}

/** passing rounds a limit to five figures, up or down, so that what is said passes. */
function passing(x: number, round: (x: number) => number): number {
  const scale = x === 0 ? 1 : 10 ** (4 - Math.floor(Math.log10(Math.abs(x))));
  const near = Math.round(x * scale);
  return (Math.abs(near - x * scale) > 1e-9 * Math.abs(near) ? round(x * scale) : near) / scale;
}

/** shortDigest is a digest as a tag has it. */
export const shortDigest = (text: string) => (/^[0-9a-f]{64}$/.test(text) ? text.slice(0, 8) : text);

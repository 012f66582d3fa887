import { describe, expect, it } from "vitest";
import { unitsIn } from "../../system";
import { answerOf, columnsAsked, textsFrom } from "./answers";
import { choicesFor, entriesOf, leak, onlyLooked, windowOf } from "./asking";
import type { ChannelFact } from "./fetch";

const metric = unitsIn("metric");
const of = (name: string, unit: string, kind: ChannelFact["kind"], counted: ChannelFact["counted"] = ""): ChannelFact => ({ name, unit, kind, counted, file_unit: unit, missing: 0, stuck: [] });
const channels = [of("flow", "m3/s", "flow"), of("tank", "Pa", "pressure"), of("air", "K", "temperature")];

describe("a window that is asked for", () => {
  it("has what was chosen of each column, times in seconds, and nothing of those left out", () => {
    const made = windowOf(channels, { point: "2", from: "1 min", to: "300", "quantity flow": "water_flow_m3s", "instrument flow": "7", "quantity air": onlyLooked }, metric);
    expect(made.faults).toEqual([]);
    expect(made.window).toEqual({ point: 2, from_s: 60, to_s: 300, channels: [{ channel: "flow", quantity: "water_flow_m3s", instrument: 7 }, { channel: "air" }] });
    expect(made.order).toEqual([0, 2]);
  });

  it("says what a pressure counts from, the file's own word first", () => {
    const typed = { point: "1", "quantity tank": "delivery_pressure_pa", "counted tank": "absolute" };
    expect(windowOf(channels, typed, metric).window?.channels[0]?.counted).toBe("absolute");
    expect(windowOf([of("tank", "Pa", "pressure", "gauge")], typed, metric).window?.channels[0]?.counted).toBe("gauge");
  });

  it("asks for the volume of a vessel, in the unit of the member", () => {
    const typed = { point: "1", "quantity tank": leak };
    expect(windowOf(channels, typed, metric).faults.map((f) => f.field)).toEqual(["window-volume"]);
    const made = windowOf(channels, { ...typed, volume: "25", ambient: "1013.25", u_change: "0.5" }, metric);
    expect(made.window).toEqual({ point: 1, channels: [{ channel: "tank", decay: true }], vessel: { volume_m3: 0.025, ambient_pa: 101_325, u_change_k: 0.5 } });
  });

  it("says what is missing before anything is sent", () => {
    const made = windowOf(channels, { from: "noon" }, metric);
    expect(made.window).toBe(null);
    expect(made.faults.map((f) => f.field)).toEqual(["window-point", "window-from", "window-quantity-0"]);
  });

  it("puts the faults of the notebook to the column of the file, not of the request", () => {
    const faults = [{ pointer: "/channels/1/instrument", code: "", message: "a" }, { pointer: "/vessel/volume_m3", code: "", message: "b" }, { pointer: "/to_s", code: "", message: "c" }];
    expect(entriesOf(faults, [0, 2]).map((e) => e.field)).toEqual(["window-instrument-2", "window-volume", "window-to"]);
  });

  it("offers for a column only what has its unit and is read, not worked out", () => {
    const m = (name: string, unit: string, derived = false) => ({ name, title: name, unit, derived, pressurised: false, condition: false, low: null, high: null, predicted: null, u_predicted: null }) as never;
    const form = { quantities: [m("water_flow_m3s", "m³/s"), m("efficiency", ""), m("made_of_others", "m³/s", true)], conditions: [m("/site/t_air_c", "°C")] };
    expect(choicesFor({ unit: "m3/s" }, form).map((c) => c.name)).toEqual(["water_flow_m3s"]);
    expect(choicesFor({ unit: "K" }, form).map((c) => c.name)).toEqual(["/site/t_air_c"]);
  });
});

describe("what a file does not say itself", () => {
  it("is asked by column, a name with a slash too (RFC 6901)", () => {
    const fault = (pointer: string) => ({ pointer, code: "unit_missing", message: "" });
    expect(columnsAsked([fault("/units/tank"), fault("/units/a~1b~0"), fault("/units/tank"), fault("/zone")])).toEqual(["tank", "a/b~"]);
  });

  it("is answered with what was typed; a column that is left out needs no unit", () => {
    expect(answerOf({ "unit tank": " kPa ", "unit note": "1", "leave note": "yes", zone: "", without: "battery\n\n" })).toEqual({ units: { tank: "kPa" }, without: ["battery", "note"] });
    expect(answerOf({})).toEqual({});
  });

  it("begins with what was answered the last time", () => {
    const asked = { units: { tank: "kPa" }, zone: "+01:00", time: "", without: ["note"] };
    expect(answerOf(textsFrom(asked))).toEqual({ units: { tank: "kPa" }, zone: "+01:00", without: ["note"] });
  });
});

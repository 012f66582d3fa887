import { describe, expect, it } from "vitest";
import { unitsIn } from "../../system";
import { type CalcField } from "./fields";
import { restOf, sameSheet, textsOfRest, without, type Rest } from "./whole";

const entry: CalcField[] = [
  { at: "/kind", kind: "choice", about: "kind", choices: ["forge", "airlift"] },
  { at: "/name", kind: "text", about: "name" },
  { at: "/flow", kind: "number", unit: "m³/s", about: "water" },
];
const uses: CalcField = { at: "/uses", kind: "records", about: "uses", item: entry };
const times: CalcField = { at: "/source/bucket/times_s", kind: "numbers", unit: "s", about: "times" };
const drained: CalcField = { at: "/facts/riser_can_block", kind: "flag", about: "may block" };
const machine: CalcField = { at: "/machine", kind: "choice", about: "machine", choices: ["trompe", "ram"] };
const inside: CalcField = { at: "/ram/cycle/D", kind: "number", unit: "m", about: "bore" };
const rest: Rest = {
  inputs: [machine, inside, times, uses, drained],
  sections: [{ at: "/source/bucket", title: "Bucket", calc: "system/bucket" }, { at: "/ram/cycle", title: "Ram", calc: "system/ram_cycle" }],
};
const metric = unitsIn("metric");

// What stands here follows from the shape of the input in openapi.yaml and the
// definitions of the units: 60 L/min = 0.001 m³/s.
describe("the sections of a sheet", () => {
  it("reads a list of numbers whichever way it is separated", () => {
    for (const text of ["12.1 11.8 12.4", "12.1; 11.8; 12.4", "12,1 11,8 12,4", " 12.1 s; 11.8 s ;12.4 s "]) {
      expect(restOf(rest, { "source-bucket-times_s": text })).toEqual({ input: { source: { bucket: { times_s: [12.1, 11.8, 12.4] } } }, faults: [] });
    }
  });

  it("refuses a list with a word in it at its field, and sends none of it", () => {
    const { input, faults } = restOf(rest, { "source-bucket-times_s": "12.1; often; 12.4" });
    expect(input).toEqual({});
    expect(faults.map((f) => f.field)).toEqual(["source-bucket-times_s"]);
  });

  it("sends no section that was opened and left empty", () => {
    expect(restOf(rest, { "source-bucket-open": "yes", "uses-count": "1" }).input).toEqual({});
  });

  it("sends a no as it was said, and nothing for what was not said", () => {
    expect(restOf(rest, { "facts-riser_can_block": "no" }).input).toEqual({ facts: { riser_can_block: false } });
    expect(restOf(rest, { "facts-riser_can_block": "" }).input).toEqual({});
  });

  it("keeps what belongs to another machine out of the sheet, but not out of the texts", () => {
    expect(restOf(rest, { machine: "trompe", "ram-cycle-D": "50 mm" }).input).toEqual({});
    expect(restOf(rest, { machine: "ram", "ram-cycle-D": "50 mm" }).input).toEqual({ machine: "ram", ram: { cycle: { D: 0.05 } } });
  });

  it("writes a saved sheet as texts that read as the same sheet", () => {
    const saved = { machine: "ram", source: { bucket: { times_s: [12.1, 11.8] } }, uses: [{ kind: "forge", name: "hearth", flow: 0.001 }, { kind: "airlift" }], facts: { riser_can_block: true } };
    for (const system of ["metric", "us", "si"] as const) {
      const texts = { ...textsOfRest(rest.inputs, saved, unitsIn(system)), units: system };
      expect(sameSheet(restOf(rest, texts).input, saved), system).toBe(true);
    }
  });
});

describe("an entry taken out of a list", () => {
  const taken = (at: number, texts: Record<string, string>) => restOf(rest, { ...texts, ...without("/uses", at, texts) }).input["uses"];

  it("leaves those before it and moves those after it up", () => {
    const texts = textsOfRest(rest.inputs, { uses: [{ kind: "forge" }, { kind: "airlift" }, { kind: "forge", name: "small hearth" }] }, metric);
    expect(taken(1, texts)).toEqual([{ kind: "forge" }, { kind: "forge", name: "small hearth" }]);
  });

  it("loses nothing of the next entry where the one taken out had a field never touched", () => {
    const texts = { "uses-count": "2", "uses-0-kind": "forge", "uses-1-kind": "airlift", "uses-1-name": "garden" };
    expect(taken(0, texts)).toEqual([{ kind: "airlift", name: "garden" }]);
  });

  it("leaves no list when it was the only one", () => {
    expect(taken(0, { "uses-count": "1", "uses-0-kind": "forge" })).toBeUndefined();
  });
});

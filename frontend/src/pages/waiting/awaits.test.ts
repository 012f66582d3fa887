import { expect, test } from "vitest";
import { awaits } from "./awaits";

test("a run that waits is named with its number and its title, beside its machine", () => {
  const said = awaits({ kind: "run", thing: "Rig of the school", title: "First water", project: 2, build: 3, number: 4 });
  expect(said.what).toBe("Run 4 of Rig of the school, “First water”, has its verdict and waits to be confirmed.");
  expect(said.to).toBe("/projects/2/builds/3/runs/4");
});

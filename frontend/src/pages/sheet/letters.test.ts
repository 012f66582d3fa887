import { expect, test } from "vitest";
import { isLater } from "./letters";

// product.md: letters go A, B and on, then AA, AB.
test("later letters are told from earlier ones", () => {
  expect(isLater("B", "A")).toBe(true);
  expect(isLater("A", "B")).toBe(false);
  expect(isLater("AA", "Y")).toBe(true);
  expect(isLater("Y", "AA")).toBe(false);
  expect(isLater("AB", "AA")).toBe(true);
  expect(isLater("AA", "AA")).toBe(false);
});

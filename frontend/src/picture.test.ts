import { expect, test } from "vitest";
import { fitted, jpegName, longest_px } from "./picture";

test.each([
  // a phone lying and upright, a narrow strip, and one that is small already
  [4000, 3000, 2560, 1920],
  [3000, 4000, 1920, 2560],
  [2560, 2, 2560, 2],
  [51200, 10, 2560, 1],
  [640, 480, 640, 480],
])("a picture of %i × %i is kept as %i × %i", (width, height, w, h) => {
  expect(fitted(width, height)).toEqual({ width: w, height: h });
});

test("the longest side that is kept is that of the rule for pictures", () => {
  expect(longest_px).toBe(2560);
});

test.each([
  ["IMG_0042.HEIC", "IMG_0042.jpg"],
  ["riser.top.png", "riser.top.jpg"],
  ["image", "image.jpg"],
  [".png", "picture.jpg"],
])("%s becomes %s", (from, to) => {
  expect(jpegName(from)).toBe(to);
});

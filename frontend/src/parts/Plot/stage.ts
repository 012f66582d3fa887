/** What tests of charts share: a place of a given width, and where texts lie in what was drawn. */
import { render, type ComponentChild } from "preact";
import { act } from "preact/test-utils";
import { vi } from "vitest";

/** stage draws something in a place of the given width. */
export function stage(width: number, what: ComponentChild): HTMLElement {
  vi.stubGlobal(
    "ResizeObserver",
    class {
      observe() {}
      disconnect() {}
    },
  );
  vi.spyOn(HTMLElement.prototype, "clientWidth", "get").mockReturnValue(width);
  const root = document.createElement("div");
  document.body.replaceChildren(root);
  void act(() => render(what, root));
  return root;
}

export interface TextBox {
  text: string;
  left: number;
  right: number;
  top: number;
  bottom: number;
}

/** textBoxes are the places of the texts of a picture, at 16 px and on the wide side. */
export function textBoxes(svg: Element): TextBox[] {
  return [...svg.querySelectorAll("text")].map((t) => {
    const text = t.textContent;
    const [x, y, wide] = [Number(t.getAttribute("x")), Number(t.getAttribute("y")), text.length * 16 * 0.58];
    const anchor = t.getAttribute("text-anchor");
    const left = anchor === "middle" ? x - wide / 2 : anchor === "end" ? x - wide : x;
    return { text, left, right: left + wide, top: y - 12, bottom: y + 4 };
  });
}

/** faultsOf names the texts of a picture that cover another or leave it. */
export function faultsOf(svg: Element): string[] {
  const boxes = textBoxes(svg);
  const [width, height] = [Number(svg.getAttribute("width")), Number(svg.getAttribute("height"))];
  const outside = boxes.filter((b) => b.left < -0.5 || b.right > width + 0.5 || b.top < 0 || b.bottom > height).map((b) => `${b.text} leaves the picture`);
  const pairs = boxes.flatMap((a, i) => boxes.slice(i + 1).filter((b) => a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom).map((b) => `${a.text} covers ${b.text}`));
  return [...outside, ...pairs];
}

/** The widths of pages from a small phone to a wide desk, less their margins. */
export const pageWidths = [288, 328, 640, 1120, 1540];

import { useLayoutEffect, useState } from "preact/hooks";

/** The width of what is drawn for paper: A4 between its margins (print.css) and the border of a sheet. */
export const paperWidth = 640; // px

/**
 * useWidth measures the place before the first picture is painted, and again
 * when it changes. What names a width for paper is laid out anew for it while it
 * is printed, so that its texts are neither shrunk nor swollen, on a phone too.
 */
export function useWidth(box: { current: HTMLElement | null }, paper: number | null = null): number {
  const [width, setWidth] = useState(0);
  useLayoutEffect(() => {
    const place = box.current;
    if (!place) {
      return;
    }
    const watch = new ResizeObserver(() => setWidth(Math.floor(place.clientWidth)));
    watch.observe(place);
    setWidth(Math.floor(place.clientWidth));
    return () => watch.disconnect();
  }, []);
  const printing = usePrinting(paper !== null);
  return paper !== null && printing && width > 0 ? paper : width;
}

/** usePrinting tells, where that is asked, whether the page is being printed now. */
export function usePrinting(asked: boolean): boolean {
  const [printing, setPrinting] = useState(false);
  useLayoutEffect(() => {
    if (!asked) {
      return;
    }
    const before = () => setPrinting(true);
    const after = () => setPrinting(false);
    addEventListener("beforeprint", before);
    addEventListener("afterprint", after);
    return () => {
      removeEventListener("beforeprint", before);
      removeEventListener("afterprint", after);
    };
  }, [asked]);
  return printing;
}

/** Widths of texts by their size and words; a drawing that is drawn again has most words again. */
const widths = new Map<string, number>();
let pen: CanvasRenderingContext2D | null = null;

/** textMeasure measures with the page's own font; where there is no canvas it reckons on the wide side. */
export function textMeasure(fontSize: number): (text: string) => number {
  pen ??= typeof CanvasRenderingContext2D === "undefined" ? null : document.createElement("canvas").getContext("2d");
  const own = pen;
  if (!own) {
    return (text) => text.length * fontSize * 0.58;
  }
  const font = `600 ${fontSize}px ${getComputedStyle(document.body).fontFamily}`;
  return (text) => {
    const key = `${font} ${text}`;
    const known = widths.get(key);
    if (known !== undefined) {
      return known;
    }
    if (widths.size > 2000) {
      widths.clear();
    }
    own.font = font;
    const width = own.measureText(text).width * 1.03 + 1;
    widths.set(key, width);
    return width;
  };
}

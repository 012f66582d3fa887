import { act } from "preact/test-utils";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { unitNamed } from "../../units";
import { faultsOf, pageWidths, stage } from "../Plot/stage";
import { SeriesChart, type SeriesChartProps } from "./SeriesChart";
import type { Point } from "./trace";

const bar = unitNamed("pressure", "bar");
// Invented: half an hour at 0.3 bar, the first minutes below it.
const points: Point[] = Array.from({ length: 1800 }, (_, t) => [t, t < 300 ? 20_000 : 29_900, t < 300 ? 22_000 : 30_100]);
const record: Omit<SeriesChartProps, "onWindow"> = {
  name: "Pressure in the chamber",
  unit: bar,
  points,
  extent: { from: 0, to: 1800 },
  cutTo: 300,
  steady: { from: 600, to: 1500 },
  outliers: [[900, 34_000]],
  gaps: [{ from: 1000.2, to: 1000.8 }],
  least: 20,
};

function setup(props: Partial<SeriesChartProps> = {}, width = 1000) {
  const onWindow = vi.fn<(from: number, to: number) => void>();
  const root = stage(width, <SeriesChart {...record} {...props} onWindow={onWindow} />);
  const place = () => root.querySelector(".series-place") ?? expect.fail("no place");
  return {
    root,
    onWindow,
    said: () => root.querySelector("p[aria-live]")?.textContent.replaceAll(/[\u202F\u00a0]/g, " ") ?? "",
    press: (word: string) => act(() => [...root.querySelectorAll("button")].find((b) => b.textContent === word)?.click()),
    key: (key: string) => act(() => void place().dispatchEvent(new KeyboardEvent("keydown", { key, bubbles: true, cancelable: true }))),
    hand: async (from: number, to: number) => {
      const rect = root.querySelector<SVGRectElement>(".hand") ?? expect.fail("no hand");
      rect.setPointerCapture = () => undefined;
      const left = Number(rect.getAttribute("x"));
      const point = (name: string, x: number) => act(() => void rect.dispatchEvent(new PointerEvent(name, { clientX: x - left, bubbles: true, isPrimary: true, button: 0, pointerId: 1 })));
      await point("pointerdown", from);
      await point("pointermove", to);
      await point("pointerup", to);
    },
    rest: () => act(() => void vi.advanceTimersByTime(300)),
  };
}

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

describe("a channel over time", () => {
  it.each(pageWidths)("%i px wide: no text covers another or leaves the picture", (width) => {
    const { root } = setup({}, width);
    const svg = root.querySelector("svg[role=img]") ?? expect.fail("no picture");
    expect(Number(svg.getAttribute("width"))).toBe(width);
    expect(faultsOf(svg)).toEqual([]);
  });

  it("says what is shown and what is marked on it", () => {
    const { root, said } = setup();
    // (300 × 0.21 + 1500 × 0.30) / 1800 = 0.285 bar, by hand.
    expect(said()).toBe("Pressure in the chamber, 0 s to 30 min, the whole record: mean about 0.285 bar, least 0.2 bar, greatest 0.301 bar.");
    const marks = root.querySelector("p.small")?.textContent.replaceAll(/[\u202F\u00a0]/g, " ");
    expect(marks).toContain("The start, up to 5 min, is not counted. Steady from 10 min to 25 min. 1 outlier, ringed: 0.34 bar at 15 min. 1 gap");
  });

  it("says how many outliers there are where it has not all of them", () => {
    const marks = setup({ standOut: 412 }).root.querySelector("p.small")?.textContent;
    expect(marks).toContain("412 outliers, the first 1 ringed");
  });

  it("says the mean of all samples where it is that of what is shown, and no other", async () => {
    const p = setup({ mean: { from: 0, to: 1800, value: 28_600 } });
    expect(p.said()).toContain("mean 0.286 bar");
    await p.press("In");
    expect(p.said()).toContain("mean about 0.3 bar");
  });

  it("asks once for the points of the part that several presses led to", async () => {
    const p = setup();
    await p.press("In");
    await p.press("In");
    expect(p.onWindow).not.toHaveBeenCalled();
    await p.rest();
    expect(p.onWindow).toHaveBeenCalledExactlyOnceWith(675, 1125);
    expect(p.said()).toContain("11 min 15 s to 18 min 45 s of 30 min");
  });

  it("asks for nothing before it is touched", async () => {
    const p = setup();
    await p.rest();
    expect(p.onWindow).not.toHaveBeenCalled();
  });

  it("is moved and made smaller by keys, and Home shows all", async () => {
    const p = setup();
    await p.key("+");
    await p.key("ArrowRight");
    await p.rest();
    expect(p.onWindow).toHaveBeenLastCalledWith(675, 1575);
    await p.key("Home");
    await p.rest();
    expect(p.onWindow).toHaveBeenLastCalledWith(0, 1800);
  });

  it("shows the span that a finger drew, whichever way it went", async () => {
    const p = setup();
    const rect = p.root.querySelector(".hand");
    const [left, width] = [Number(rect?.getAttribute("x")), Number(rect?.getAttribute("width"))];
    await p.hand(left + width / 2, left + width / 4);
    await p.rest();
    const [from, to] = p.onWindow.mock.lastCall ?? [];
    expect(from).toBeCloseTo(450, 6);
    expect(to).toBeCloseTo(900, 6);
  });

  it("takes a tap for no span", async () => {
    const p = setup();
    await p.hand(400, 404);
    await p.rest();
    expect(p.onWindow).not.toHaveBeenCalled();
  });

  it("does nothing with a button that has nothing to do, and keeps it in reach", async () => {
    const p = setup();
    await p.press("Out");
    await p.rest();
    expect(p.onWindow).not.toHaveBeenCalled();
    const out = [...p.root.querySelectorAll("button")].find((b) => b.textContent === "Out");
    expect(out?.getAttribute("aria-disabled")).toBe("true");
    expect(out?.disabled).toBe(false);
  });

  it("draws nothing across a gap", () => {
    const trace = (gaps: SeriesChartProps["gaps"]) => setup({ gaps: gaps ?? [] }).root.querySelector(".series-place .trace")?.getAttribute("d")?.split("M").length;
    expect(trace([])).toBe(2);
    expect(trace([{ from: 1000.2, to: 1000.8 }])).toBe(3);
  });

  it("has ten lines in its table, with what is marked in each", () => {
    const rows = [...setup().root.querySelectorAll("tbody tr")].map((r) => r.textContent);
    expect(rows.length).toBe(10);
    expect(rows[0]).toContain("start, not counted");
    expect(rows[5]).toContain("steady, 1 outlier, gap");
    expect(rows[9]).toContain("nothing");
  });

  it("says that there is no data, and still has a frame", () => {
    const p = setup({ points: [], outliers: [], gaps: [], cutTo: null, steady: null });
    expect(p.said()).toContain("no data");
    expect(p.root.querySelector(".frame")).not.toBeNull();
    const drawn = [...p.root.querySelectorAll("svg *")].flatMap((e) => [...e.attributes].map((a) => a.value));
    expect(drawn.join(" ")).not.toMatch(/NaN|Infinity/);
  });
});

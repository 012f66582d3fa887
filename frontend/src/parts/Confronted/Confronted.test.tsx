import { describe, expect, it } from "vitest";
import { unitNamed } from "../../units";
import { faultsOf, pageWidths, stage } from "../Plot/stage";
import { Confronted, type Confrontation } from "./Confronted";

const litres = unitNamed("flow", "L/min");
const bar = unitNamed("pressure", "bar");
const q = (perMinute: number) => perMinute / 60_000;
const found = (value: number, half: number) => ({ value: q(value), low: q(value - half), high: q(value + half) });
const half = { id: "half", quantity: "Free air delivered", name: "Valve half open", unit: litres, promised: { low: q(19), high: q(34) }, predicted: q(25.8), measured: found(27.1, 1.4), outcome: "met", promisedLittle: true } as const;
// Invented numbers of a garden machine.
const rows: Confrontation[] = [
  half,
  { ...half, id: "open", name: "Valve open", measured: found(16.2, 2.2), outcome: "missed_low", promisedLittle: false, because: "Drawing air through the tubes would explain most of it." },
  { ...half, id: "least", name: "At night", promised: { low: q(20), high: null }, measured: found(21, 4), outcome: "undecided", promisedLittle: false },
  { id: "pressure", quantity: "Delivery pressure", unit: bar, promised: { low: 31_100, high: 32_100 }, predicted: 31_600, measured: { value: 33_200, low: 32_900, high: 33_500 }, outcome: "missed_high" },
  { id: "none", quantity: "Water used", unit: litres, promised: null, predicted: null, measured: null, outcome: "undecided" },
];

const plain = (text: string | null | undefined) => (text ?? "").replaceAll("\u202F", " ");
const strips = (root: HTMLElement) => [...root.querySelectorAll("figure li > svg")];

describe("measured against promised", () => {
  it.each(pageWidths)("%i px wide: no text covers another or leaves the picture", (width) => {
    const svgs = stage(width, <Confronted rows={rows} />).querySelectorAll("figure svg");
    expect(svgs.length).toBe(8);
    expect([...svgs].flatMap((s) => faultsOf(s))).toEqual([]);
  });

  it("stamps each outcome in words, and that little was promised in a stamp of its own", () => {
    const stamps = [...stage(900, <Confronted rows={rows} />).querySelectorAll("figure li")].map((li) => [...li.querySelectorAll(".stamp")].map((s) => s.textContent));
    expect(stamps).toEqual([["met", "promised little"], ["missed low"], ["undecided"], ["missed high"], ["undecided"]]);
  });

  it("puts rows of one quantity and unit on one axis", () => {
    const root = stage(900, <Confronted rows={rows} />);
    expect([...root.querySelectorAll("figcaption")].map((c) => c.textContent)).toEqual(["Free air delivered, L/min", "Delivery pressure, bar", "Water used, L/min"]);
    const bands = strips(root).slice(0, 2).map((s) => s.querySelector(".end")?.getAttribute("d"));
    expect(bands[0]).toBe(bands[1]); // the same promise at the same place
  });

  it("draws the bar where the numbers are: inside the band only what is inside the promise", () => {
    const [met, low] = strips(stage(900, <Confronted rows={rows} />));
    const numbers = (svg: Element | undefined, kind: string) => [...(svg?.querySelector(kind)?.getAttribute("d") ?? "").matchAll(/M([\d.]+)/g)].map((m) => Number(m[1]));
    const bar = (svg: Element | undefined) => [Math.min(...numbers(svg, ".bar")), Math.max(...numbers(svg, ".bar"))] as const;
    const [start = NaN, end = NaN] = numbers(met, ".end");
    expect(bar(met)[0]).toBeGreaterThan(start);
    expect(bar(met)[1]).toBeLessThan(end);
    expect(bar(low)[1]).toBeLessThan(start); // 18.4 lies below 19
    const scale = (end - start) / (34 - 19);
    expect((bar(met)[0] - start) / scale).toBeCloseTo(27.1 - 1.4 - 19, 3);
  });

  it("says each row in words", () => {
    const said = [...stage(900, <Confronted rows={rows} />).querySelectorAll("figure li > p.small")].map((p) => plain(p.textContent));
    expect(said[0]).toContain("Promised 19 to 34 L/min, predicted 25.8 L/min; measured 27.1 ± 1.4 L/min.");
    expect(said[2]).toContain("Promised at least 20 L/min");
    expect(said[3]).toContain("measured 0.3320 ± 0.0030 bar.");
    expect(said[4]).toContain("Nothing was promised; not measured.");
    expect(stage(900, <Confronted rows={rows} />).textContent).toContain("Drawing air through the tubes would explain most of it.");
  });

  // 10 101.5 Pa ± 29.0 Pa between 10 069.4 and 10 143.1 Pa: two figures of the half width, as JCGM 100:2008, 7.2.6, advises.
  it("writes no measurement coarser than it is", () => {
    const fine: Confrontation = { id: "fine", quantity: "Delivery pressure", unit: bar, promised: { low: 10_069.4, high: 10_143.1 }, predicted: 10_105.9, measured: { value: 10_101.5, low: 10_072.5, high: 10_130.5 }, outcome: "met" };
    const text = plain(stage(360, <Confronted rows={[fine]} />).querySelector("figure li > p.small")?.textContent);
    expect(text).toBe("Promised 0.10069 to 0.10143 bar, predicted 0.10106 bar; measured 0.10102 ± 0.00029 bar.");
  });

  it("goes by powers of ten where rows differ by more than 20 to 1", () => {
    const small = { ...half, id: "small", promised: { low: q(0.5), high: q(1.5) }, predicted: q(1), measured: found(1, 0.1) };
    const root = stage(900, <Confronted rows={[half, small]} />);
    const ends = strips(root).map((s) => [...(s.querySelector(".end")?.getAttribute("d") ?? "").matchAll(/M([\d.]+)/g)].map((m) => Number(m[1])));
    const [wide, narrow] = ends.map(([a = NaN, b = NaN]) => b - a);
    expect((narrow ?? NaN) / (wide ?? NaN)).toBeCloseTo(Math.log(3) / Math.log(34 / 19), 6);
  });

  it("is nothing where there is nothing", () => {
    expect(stage(900, <Confronted rows={[]} />).textContent).toBe("");
  });
});

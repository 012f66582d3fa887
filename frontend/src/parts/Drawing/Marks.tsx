import type { Composition } from "./compose";
import type { Fitting, Level } from "./model";
import { Path, ring } from "./paths";
import type { Spot } from "./scale";

/** Measures are the dimension lines, with the lines that carry them out of the machine. */
export function Measures({ laid }: { laid: Composition }) {
  const arrows = laid.measures.map((m) => `M${m.x} ${m.top.y}l-3.5 9h7zM${m.x} ${m.bottom.y}l-3.5 -9h7z`);
  return (
    <>
      {laid.measures.map((m) => (
        <path key={m.id} class="thin" data-dimension={m.id} d={`M${m.top.x} ${m.top.y}H${m.x}V${m.bottom.y}H${m.bottom.x}`} />
      ))}
      <Path kind="mark" d={arrows.join("")} />
    </>
  );
}

/** Levels are the triangles on surfaces and edges, of those that have their text. */
export function Levels({ levels, laid }: { levels: Level[]; laid: Composition }) {
  const shown = new Set(laid.texts.map((t) => t.note.id));
  const spots = levels.filter((l) => shown.has(l.id)).map((l) => laid.at(l.at));
  return (
    <>
      <Path kind="thin" d={spots.map(({ x, y }) => `M${x - 11} ${y}h22`).join("")} />
      <Path kind="mark" d={spots.map(({ x, y }) => `M${x} ${y}l-5 -8h10z`).join("")} />
    </>
  );
}

const apart = 17; // px between the middles of two signs that do not cover each other

const bowTie = ({ x, y }: Spot) => `M${x - 7} ${y - 6}v12l14 -12v12z`;

/** The other signs, each a path around its spot: a valve that lets through upward, and what the air is for. */
const signs: Partial<Record<Fitting["kind"], (s: Spot) => string>> = {
  check: ({ x, y }) => `M${x - 6} ${y + 5}h12l-6 -9zM${x - 6} ${y - 5}h12`,
  nozzle: ({ x, y }) => `M${x - 5} ${y}v-6l5 -9l5 9v6z`,
  tool: ({ x, y }) => `M${x - 8} ${y}v-12h16v12zM${x} ${y - 12}v-5`,
  forge: ({ x, y }) => `M${x - 7} ${y}c-3 -7 3 -9 3 -15c6 3 5 7 8 5c5 4 4 8 2 10z`,
  diffuser: ({ x, y }) => `M${x - 9} ${y}h18c-2 -7 -16 -7 -18 0z`,
};

/** Fittings are the signs of gauges, valves and uses; an open valve goes without where it would lie on a gauge. */
export function Fittings({ fittings, laid }: { fittings: Fitting[]; laid: Composition }) {
  const spotsOf = (kind: Fitting["kind"]) => fittings.filter((f) => f.kind === kind).map((f) => laid.at(f.at));
  const gauges = spotsOf("gauge");
  const valves = spotsOf("valve").filter((v) => !gauges.some((g) => Math.hypot(g.x - v.x, g.y - v.y) < apart));
  return (
    <>
      <Path kind="gauge" d={gauges.map((g) => ring(g, 9)).join("")} />
      <Path kind="thin" d={gauges.map(({ x, y }) => `M${x} ${y}l5 -5`).join("")} />
      <Path kind="valve" d={valves.map(bowTie).join("")} />
      {Object.entries(signs).map(([kind, draw]) => (
        <Path key={kind} kind="valve" d={spotsOf(kind as Fitting["kind"]).map(draw).join("")} />
      ))}
      <Path kind="shut" d={spotsOf("shut").map(bowTie).join("")} />
    </>
  );
}

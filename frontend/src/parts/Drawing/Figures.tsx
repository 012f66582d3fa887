import { bubbles } from "./bubbles";
import type { Composition } from "./compose";
import type { Part, Shape } from "./model";
import { areas, lines, Path } from "./paths";
import { fillOf } from "./patterns";

/** runs puts neighbours that look alike together, to be drawn at once: the walls of a part, the lengths of a pipe full of mixture. */
export function runs(shapes: Shape[]): Shape[][] {
  const all: Shape[][] = [];
  for (const s of shapes) {
    const last = all.at(-1);
    const alike = last?.[0];
    if (last && alike?.kind === s.kind && alike.part === s.part && alike.closed === s.closed) {
      last.push(s);
    } else {
      all.push([s]);
    }
  }
  return all;
}

interface FiguresProps {
  shapes: Shape[];
  laid: Composition;
  patterns: string;
  selected: Part | null;
}

/** Figures are the shapes of the machine, from the lowest to the highest. */
export function Figures({ shapes, laid, patterns, selected }: FiguresProps) {
  return (
    <>
      {runs(shapes).map((run) => {
        const [first] = run;
        return first?.closed ? (
          <Areas key={first.id} run={run} kind={first.kind} laid={laid} patterns={patterns} />
        ) : first ? (
          <Lines key={first.id} run={run} kind={first.kind} laid={laid} lit={first.part === selected} />
        ) : null;
      })}
    </>
  );
}

interface RunProps {
  run: Shape[];
  kind: Shape["kind"];
  laid: Composition;
}

function Lines({ run, kind, laid, lit }: RunProps & { lit: boolean }) {
  const d = lines(run.map((s) => s.points.map(laid.at)));
  return kind === "hose" || kind === "pipe" ? (
    <g class={lit ? "lit" : undefined}>
      <path class="hose" d={d} />
      <path class="hose-inside" d={d} />
    </g>
  ) : (
    <path class={lit ? `${kind} lit` : kind} d={d} />
  );
}

/** Areas have their hatch, and mixture its bubbles. */
function Areas({ run, kind, laid, patterns }: RunProps & { patterns: string }) {
  const corners = run.map((s) => s.points.map(laid.at));
  const d = areas(corners);
  const fill = fillOf(kind, patterns);
  const strewn = kind === "mixture" ? corners.map((c, i) => bubbles(c, run[i]?.void ?? 0)).join("") : "";
  return (
    <>
      {kind === "ground" ? null : <path class="inside" d={d} />}
      {fill ? <path d={d} fill={fill} /> : null}
      <Path kind="bubble" d={strewn} />
      <Path kind="bubble-inside" d={strewn} />
    </>
  );
}

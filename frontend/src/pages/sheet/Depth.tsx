import { useId } from "preact/hooks";
import { useUnits, type Units } from "../../system";
import { acrossOf, ends, levelsFor, marksOf, panelsOf, yOf, type Levels, type Panel } from "./depth";
import { Hatches } from "./Hatches";
import type { Numbers } from "./say";
import "./depth.css";

interface DepthProps {
  n: Numbers;
  /** The drawing's levels, to stand beside it; without them the panels stand below one another. */
  beside?: Levels;
}

const narrow = { width: 150, left: 4, right: 12 };
const stacked = { width: 280, left: 74, right: 12, height: 210 };

/** Depth shows pressure, air and speed against depth. */
export default function Depth({ n, beside }: DepthProps) {
  const units = useUnits();
  const panels = panelsOf(n);
  return (
    <div class={beside ? "depth beside" : "depth"}>
      {panels.map((p) => (
        <figure key={p.id}>
          <figcaption>{p.title}</figcaption>
          <Chart panel={p} n={n} levels={beside ?? levelsFor(n, stacked.height)} place={beside ? narrow : stacked} units={units} named={!beside} />
        </figure>
      ))}
      <p class="small quiet">
        Levels as in the drawing. Speed of the water in full line, of the bubbles in broken line.
        {n.part_full_length_m > 0 ? ` Hatched: ${units.write(n.part_full_length_m, "length")} that run part full; dotted, the water falling down its wall, known at both ends only.` : ""}
      </p>
    </div>
  );
}

interface ChartProps {
  panel: Panel;
  n: Numbers;
  levels: Levels;
  place: { width: number; left: number; right: number };
  units: Units;
  /** Levels are named at the left. */
  named: boolean;
}

function Chart({ panel, n, levels, place, units, named }: ChartProps) {
  const id = useId().replaceAll(":", "");
  const room = place.width - place.left - place.right;
  const across = acrossOf(panel, room);
  const { top, bottom } = ends(n);
  const x = (value: number) => place.left + across(value);
  const path = (points: { z: number; value: number }[]) => points.map((q, i) => `${i === 0 ? "M" : "L"}${x(q.value).toFixed(1)} ${yOf(levels, q.z).toFixed(1)}`).join("");
  const marks = marksOf(panel, levels, across, units);
  const about = `${panel.title} from level ${units.write(top, "level")} down to ${units.write(bottom, "level")}: ${marks.map((m) => m.text).join(" to ")}.`;
  const lines = n.part_full_length_m > 0 ? [top, n.plunge_level_m, bottom] : [top, bottom];
  return (
    <svg class="chart" viewBox={`0 0 ${place.width} ${levels.height}`} width={place.width} height={levels.height} role="img" aria-label={about}>
      <Hatches id={id} />
      {n.part_full_length_m > 0 ? <rect x={place.left} y={yOf(levels, top)} width={room} height={yOf(levels, n.plunge_level_m) - yOf(levels, top)} fill={`url(#${id}-lines)`} /> : null}
      <path class="axis" d={`M${x(0)} ${yOf(levels, top)}V${yOf(levels, bottom)}`} />
      {lines.map((z) => (
        <path key={z} class="limit" d={`M${place.left} ${yOf(levels, z)}h${room}`} />
      ))}
      {named ? apart(lines.map((z) => ({ z, y: yOf(levels, z) }))).map(({ z, y }) => (
        <text key={z} x={place.left - 6} y={y + 5} text-anchor="end">
          {units.write(z, "level")}
        </text>
      )) : null}
      {panel.curves.map((c) => (
        <path key={c.name} class={`curve ${c.kind}`} d={path(c.points)} />
      ))}
      {marks.map((m) => (
        <text key={m.y} x={place.left + m.x} y={m.y} text-anchor={m.x < room / 2 ? "start" : "end"} class="strong">
          {m.text}
        </text>
      ))}
    </svg>
  );
}

/** apart leaves out a level whose text would cover the one above it. */
function apart(list: { z: number; y: number }[]): { z: number; y: number }[] {
  return list.filter((l, i) => i === 0 || i === list.length - 1 || (l.y - (list[0]?.y ?? 0) > 20 && (list.at(-1)?.y ?? 0) - l.y > 20));
}

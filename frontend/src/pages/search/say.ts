import type { Schema } from "../../api/client";
import type { Units } from "../../system";
import { figures, unitNamed, withUnit } from "../../units";

type Sentence = Schema<"SearchSentence">;
type Of = Sentence["values"][number]["of"];

/** say writes a sentence of the server with its values in the units of the member. */
export function say({ text, values }: Sentence, units: Units): string {
  return text.replace(/\{(\d)\}/g, (whole, i: string) => {
    const v = values[Number(i)];
    return v ? write(v.value, v.of, units) : whole;
  });
}

const uses = { water: "flow", air: "free_air", pressure: "pressure", height: "level", bore: "bore" } as const;

/** write puts a value the way a builder would. */
export function write(value: number, of: Of, units: Units): string {
  return of === "plastic" ? plastic(value, units) : units.write(value, uses[of]);
}

/** plastic is the volume of pipe walls: what pipe weighs and costs goes with it. */
function plastic(m3: number, units: Units): string {
  const [us, litre] = [unitNamed("volume", "US gal"), unitNamed("volume", "L")];
  return units.system === "us" ? withUnit(figures((m3 * us.div) / us.mul, 2), us) : withUnit(figures((m3 * litre.div) / litre.mul, 2), litre);
}

const parts = { downcomer: "Downcomer", riser: "Riser", chamber: "Chamber, lying", air_tubes: "Air tubes" } as const;

/** pipeLine says what is needed of one pipe: "Downcomer: 2 × 3.99 m of d50 PN10". */
export function pipeLine(p: Schema<"Proposal">["pipes"][number], units: Units): string {
  const each = units.write(p.each_m, "length");
  return `${parts[p.part]}: ${p.count === 1 ? each : `${p.count} × ${each}`} of ${p.name}`;
}

const whole = (n: number) => String(n).replace(/\B(?=(\d{3})+$)/g, "\u202F");

/** tried says how far a search is. */
export const tried = (s: Schema<"Search">) => `${whole(s.done)} of ${whole(s.of)} machines tried`;

/** outcome says what a search came to, in one sentence. */
export function outcome(a: Schema<"SearchAnswer">): string {
  if (a.count === 0) {
    return "There is no machine to try.";
  }
  const best = a.proposals.length === 1 ? "This is the best one." : `These are the best ${a.proposals.length}, no two with the same pipes.`;
  return `${whole(a.count)} machines were tried, ${whole(a.working)} of them work. ${a.proposals.length > 0 ? best : ""}`.trim();
}

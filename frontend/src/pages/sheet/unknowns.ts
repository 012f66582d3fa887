/**
 * Which unknown matters most, in sentences: how much of the spread of a number
 * it makes, what knowing it would bring, and how one would come to know it.
 */
import { fieldAt, numberAt, unitsFor, useOf, type Basis } from "./basis";
import { labelOf } from "./fields";
import { halfWidth, hasEnds, type Share, type Uncertainty } from "./interval";
import type { Units } from "../../system";
import type { Numbers } from "./say";

/** An unknown: what it is called in a sentence, and how one would measure it. */
interface Unknown {
  name: string;
  how: string;
}

const twoTaps =
  "On a rig in clear pipe, read static pressure at two taps far apart in the full part, and water and air flow, at three air flows or more: the share of air follows from the pressures.";
const photograph = "Photograph the bubbles through clear pipe with a scale in the picture, and measure fifty of them.";

/** Advice is plain practice, without a source. */
const coefficients: Record<string, Unknown> = {
  k_in: { name: "entry loss between the air tubes", how: "Stop the air tubes, let water through the finished intake at two or three levels, and time a bucket: the flow at a known level gives the loss." },
  k_rec: { name: "pressure regained where water and air mix", how: "Needs pressure taps at the tubes’ lower ends and some ten bores below, on a running pipe. Hard in a shed: better narrow another one." },
  k_c0: { name: "crowding of bubbles in midstream", how: twoTaps },
  k_v: { name: "speed of bubbles against the water", how: twoTaps },
  k_f: { name: "wall friction of the mixture", how: "On a long rig, read pressure at two taps with and without air at the same water flow; the difference beyond the weight of the column is friction." },
  k_b: { name: "size of the bubbles", how: photograph },
  k_abs: { name: "pace at which air goes into the water", how: "An oxygen meter in the delivered air, once the machine runs: less oxygen than outside means more went into the water." },
  k_air: { name: "loss of the air tubes", how: "Blow a known air flow through one tube and read the pressure across it with a water gauge." },
  k_dif: { name: "pressure regained in the flared end", how: "Pressure taps above and below the flare, with water alone. A plain end does without it." },
  sig_g: { name: "spread of bubble sizes", how: photograph },
  alpha_sat: { name: "most air that the full pipe can hold", how: "On a rig of the same bore with more air tubes than it can use, read static pressure at two taps well below the plunge. Rigs of another bore say less." },
};

/** unknownAt names an unknown by its JSON Pointer: a coefficient, or a measure of the sheet. */
export function unknownAt(basis: Basis, at: string): Unknown {
  const known = coefficients[at.replace("/params/", "")];
  const f = fieldAt(basis.inputs, at);
  const label = f ? labelOf(f) : at;
  return known ?? { name: `“${label}”`, how: "Measure it again with a finer instrument, and put the smaller tolerance in: half the tolerance leaves a quarter of its share." };
}

/** How one unknown stands with one number. */
export interface Said {
  at: string;
  sentence: string;
  how: string;
  rough: boolean;
}

const worthSaying = 0.05; // of the variance
const most = 3;

/** ranked says the unknowns of one output that matter, the largest first. */
export function ranked(basis: Basis, n: Numbers, u: Uncertainty, output: string, units: Units): Said[] {
  return shares(u, output)
    .filter((s) => s.share >= worthSaying)
    .slice(0, most)
    .map((s) => {
      const { name, how } = unknownAt(basis, s.input);
      return { at: s.input, sentence: sentenceOf(name, s, widths(basis, n, u, output, s.share, units)), how, rough: s.rough };
    });
}

/** lesser names the unknowns that come after those. */
export function lesser(basis: Basis, u: Uncertainty, output: string): string[] {
  const all = shares(u, output);
  const said = Math.min(most, all.filter((s) => s.share >= worthSaying).length);
  return all
    .slice(said)
    .filter((s) => s.share >= 0.01)
    .map((s) => `${unknownAt(basis, s.input).name} ${percent(s.share)}`);
}

const shares = (u: Uncertainty, output: string): Share[] => u.ranking.filter((s) => s.output === output).sort((a, b) => b.share - a.share);

const percent = (share: number) => `${Math.round(100 * Math.min(1, share))}\u202F%`;

const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

function sentenceOf(name: string, s: Share, narrowed: { now: string; then: string } | null): string {
  const makes = `${capital(name)} makes ${s.rough ? "roughly " : ""}${percent(s.share)} of the spread.`;
  return narrowed ? `${makes} Measuring it before building would narrow ${narrowed.now} to ${narrowed.then}.` : makes;
}

/** widths says the half width now, and with this unknown gone: U·√(1 − S). */
function widths(basis: Basis, n: Numbers, u: Uncertainty, output: string, share: number, units: Units): { now: string; then: string } | null {
  const f = fieldAt(basis.outputs, `/${output}`);
  const interval = u.outputs[output];
  const value = numberAt(n, `/${output}`);
  if (!f || value === null || !hasEnds(interval)) {
    return null;
  }
  const half = (interval.high - interval.low) / 2;
  const own = unitsFor(f, units);
  const say = (width: number) => halfWidth(value, width, useOf(f), own.shown(value, useOf(f)));
  return { now: say(half), then: say(half * Math.sqrt(Math.max(0, 1 - share))) };
}

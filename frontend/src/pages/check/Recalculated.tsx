import type { Schema } from "../../api/client";
import { useUnits, type Units } from "../../system";
import { day } from "../../words";
import { fieldAt, unitsFor, useOf } from "../sheet/basis";
import type { Check } from "./fetch";
import { named, type Places } from "./pins";
import { begin } from "./say";

type Difference = Schema<"AnswerDifference">;

/** Recalculated says what a newer calculation answers for the same inputs; the signed answer stays. */
export function Recalculated({ check, places }: { check: Check; places: Places }) {
  const units = useUnits();
  const [newest] = check.recalculations;
  if (!newest) {
    return null;
  }
  if (newest.differs.length === 0) {
    return (
      <p class="quiet">
        Calculation {newest.calc_version} went through it again on {day(newest.at)}: nothing that matters comes out otherwise.
      </p>
    );
  }
  return (
    <section class="warn" aria-label="A newer calculation answers otherwise">
      <p>
        <b>A newer calculation answers otherwise.</b> Calculation {newest.calc_version} went through the same inputs on {day(newest.at)}. What was signed stands beside
        it, unchanged; the crew decides whether a new letter is needed.
      </p>
      <div class="scroll">
        <table>
          <caption class="unseen">Answers that came out otherwise</caption>
          <thead>
            <tr>
              <th scope="col">What</th>
              <th scope="col">As signed</th>
              <th scope="col">Newer</th>
            </tr>
          </thead>
          <tbody>
            {newest.differs.map((d) => (
              <tr key={d.what + d.at}>
                <th scope="row">{whatDiffers(d, places)}</th>
                <td data-of="As signed">{valueOf(d, "was", places, units)}</td>
                <td data-of="Newer">{valueOf(d, "is", places, units)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </section>
  );
}

const aspects: Record<string, string> = {
  verdict: "may it be built",
  reasons: "reasons",
  conditions: "conditions",
  p_design_pa: "must be good for",
  allow_pa: "may hold",
  "distance/m": "distance to keep",
};

/** whatDiffers names what came out otherwise. */
export function whatDiffers({ what, at }: Pick<Difference, "what" | "at">, places: Places): string {
  if (what === "status") {
    return "Whether it works";
  }
  if (what === "warning") {
    return at === "/trompe/warnings" ? "Warnings" : `Warnings: ${named({ kind: "result", at: at.replace(/\/warnings$/, "") }, places).name}`;
  }
  if (at === "/build/class") {
    return "Hazard class";
  }
  if (at === "/build/flags") {
    return "What the law may say";
  }
  const [, part, aspect = ""] = /^\/build(\/[^/]+\/\d+|\/[^/]+)\/(.+)$/.exec(at) ?? [];
  const judged = places.report?.build?.parts.find((p) => p.at === part);
  if (judged) {
    return begin(`${judged.name || judged.role.replaceAll("_", " ")}: ${aspects[aspect] ?? aspect}`);
  }
  return begin(gistWords[at] ?? named({ kind: "result", at }, places).name);
}

const gistWords: Record<string, string> = {
  "/gist/gauge_pa": "pressure",
  "/gist/free_air_m3s": "free air",
  "/gist/water_m3s": "water used",
  "/gist/lifted_m3s": "water lifted",
};

/** codesInWords makes "W_HIGH_VOID, W_SLUG" readable. */
const codesInWords = (codes: string) => codes.replace(/\b[A-Z]_(?=[A-Z])/g, "").replaceAll("_", " ").toLowerCase();

function valueOf(d: Difference, side: "was" | "is", { outputs }: Places, units: Units): string {
  const number = side === "was" ? d.was_number : d.is_number;
  if (number === null) {
    return codesInWords(d[side]) || "none";
  }
  const f = fieldAt(outputs, d.at.replace(/^\/trompe/, ""));
  if (f) {
    return unitsFor(f, units).write(number, useOf(f));
  }
  return /_pa$/.test(d.at) ? units.write(number, "pressure") : /free_air/.test(d.at) ? units.write(number, "free_air") : /m3s$/.test(d.at) ? units.write(number, "flow") : units.write(number, "length");
}

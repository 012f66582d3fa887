import type { Schema } from "../../api/client";
import type { Units } from "../../system";

/** sayLeak says what a vessel loses, as air of 100 kPa and 20 °C. */
export function sayLeak(l: Schema<"SeriesLeak">, units: Units): string {
  const write = (v: number | null) => (v === null ? "not known" : units.write(v, "free_air"));
  const how = [l.temperature_corrected ? "" : "It is not corrected for the temperature of the gas, which is most of its uncertainty.", l.linear ? "" : "The pressure fell far, so a falling curve was laid through it instead of a line."].filter(Boolean).join(" ");
  switch (l.status) {
    case "missing_condition":
      return "No leak can be told: the air pressure of that hour is missing, and this pressure counts from it.";
    case "too_short":
      return "The part is too short to tell a leak.";
    case "leak":
      return `It loses ${write(l.leak_m3s)}, standard uncertainty ${write(l.u)}, as air of 100 kPa and 20 °C. ${how}`.trim();
    case "none_found":
      return `No leak was found: it loses ${write(l.upper95_m3s)} at most, at 95 %, as air of 100 kPa and 20 °C. ${how}`.trim();
  }
}

import type { Schema } from "../../api/client";
import { roleWords, verdictWords } from "../sheet/MayBuild";

type Build = NonNullable<Schema<"Report">["build"]>;

/** saySafety lists in words what becomes other in whether a machine may be built: its hazard class, and what each part may. */
export function saySafety(was: Schema<"Report">, now: Schema<"Report">): string[] {
  const [a, b] = [was.build, now.build];
  if (!a || !b) {
    return a || b ? ["Whether it may be built can’t be said of both."] : [];
  }
  const said = a.class === b.class ? [] : [`The hazard class goes from ${a.class} to ${b.class}.`];
  for (const part of b.parts) {
    const before = a.parts.find((p) => p.at === part.at && p.role === part.role);
    const name = part.name || (roleWords[part.role] ?? part.role);
    if (before && before.verdict !== part.verdict) {
      said.push(`${name}: it was ${verdictWords[before.verdict]} and would be ${verdictWords[part.verdict]}.`);
    }
    said.push(...newIn(before, part).map((text) => `${name}: ${text}`));
  }
  return said;
}

/** newIn is what is said of a part now and was not before. */
function newIn(before: Build["parts"][number] | undefined, now: Build["parts"][number]): string[] {
  const known = new Set([...(before?.reasons ?? []), ...(before?.conditions ?? [])].map((s) => s.code));
  return [...now.reasons, ...now.conditions].filter((s) => !known.has(s.code)).map((s) => s.text);
}

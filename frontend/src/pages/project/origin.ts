import type { Schema } from "../../api/client";
import { day, listed } from "../../words";

type Origin = Pick<Schema<"Origin">, "group" | "at">;

/** broughtIn says in short where a project came from, and when. */
export function broughtIn(o: Origin): string {
  return `Brought in from ${o.group} on ${day(o.at)}`;
}

/** crewOf goes on after “its crew”: who that is, or that it is nobody. */
export function crewOf(p: { crew: { name: string }[]; origin: Origin | null }): string {
  if (p.crew.length > 0) {
    return `: ${listed(p.crew.map((c) => c.name))}`;
  }
  return p.origin ? `, and nobody of this group is on it. ${broughtIn(p.origin)}` : ", and nobody is left on it";
}

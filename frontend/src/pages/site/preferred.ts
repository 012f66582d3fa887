const place = "leat:unit:flow";

/** preferredFlow is the unit in which flows were typed last in this browser. */
export function preferredFlow(): string {
  try {
    return localStorage.getItem(place) ?? "L/s";
  } catch {
    return "L/s";
  }
}

/** preferFlow remembers the unit for the next time. */
export function preferFlow(name: string): void {
  try {
    localStorage.setItem(place, name);
  } catch {
    // A browser that keeps nothing asks again.
  }
}

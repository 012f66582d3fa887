const place = "leat:unit:flow";

/** preferredFlow is the unit in which flows were typed last in this browser, else the usual one of the system. */
export function preferredFlow(system = "metric"): string {
  const usual = system === "us" ? "US gal/min" : "L/s";
  try {
    return localStorage.getItem(place) ?? usual;
  } catch {
    return usual;
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

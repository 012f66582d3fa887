/** How pipe is cut where the stock list does not say, as typed; units is the system of bare numbers. */
export interface Saw {
  kerf: string;
  trim: string;
  units: string;
}

const place = "leat:saw";

/** keptSaw finds what was typed on this device; nothing where it keeps nothing. */
export function keptSaw(units: string): Saw {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(place) ?? "null");
    if (typeof kept === "object" && kept !== null && "kerf" in kept && "trim" in kept && "units" in kept) {
      const { kerf, trim, units: typed } = kept;
      if (typeof kerf === "string" && typeof trim === "string" && typeof typed === "string") {
        return { kerf, trim, units: typed };
      }
    }
  } catch {
    // A browser that keeps nothing begins anew.
  }
  return { kerf: "", trim: "", units };
}

/** keepSaw remembers it on this device. */
export function keepSaw(saw: Saw): void {
  try {
    localStorage.setItem(place, JSON.stringify(saw));
  } catch {
    // Then it holds for this page alone.
  }
}

/** Moments as they are typed: day and time on the wall, in the time zone of the group. */

/** wallOf writes a moment as a field for day and time has it. */
export function wallOf(utc: Date, zone: string): string {
  const parts = new Intl.DateTimeFormat("en-GB", { timeZone: zone, hourCycle: "h23", year: "numeric", month: "2-digit", day: "2-digit", hour: "2-digit", minute: "2-digit" }).formatToParts(utc);
  const part = (type: string) => parts.find((p) => p.type === type)?.value ?? "";
  return `${part("year")}-${part("month")}-${part("day")}T${part("hour")}:${part("minute")}`;
}

/** utcOf reads what was typed as a time on the wall of the zone; null for what is none. */
export function utcOf(wall: string, zone: string): Date | null {
  const asUtc = /^\d{4}-\d\d-\d\dT\d\d:\d\d/.test(wall) ? Date.parse(`${wall.slice(0, 16)}Z`) : NaN;
  if (Number.isNaN(asUtc)) {
    return null;
  }
  const off = (at: number) => Date.parse(`${wallOf(new Date(at), zone)}Z`) - at;
  return new Date(asUtc - off(asUtc - off(asUtc))); // once more, where the clock is set within those hours
}

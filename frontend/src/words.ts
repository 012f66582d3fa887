import { currentSession } from "./api/session";

/** When something happened, in the time zone of the group. */
export function when(utc: string): string {
  return inZone(utc, { day: "numeric", month: "short", year: "numeric", hour: "2-digit", minute: "2-digit" });
}

/** The day something happened, in the time zone of the group. */
export function day(utc: string): string {
  return inZone(utc, { day: "numeric", month: "short", year: "numeric" }).replaceAll(" ", "\u00a0");
}

/** dated writes a text that is a date alone as a day, and any other as it is. */
export const dated = (text: string) => (/^\d{4}-\d\d-\d\d$/.test(text) ? day(`${text}T12:00:00Z`) : text);

function inZone(utc: string, options: Intl.DateTimeFormatOptions): string {
  const at = new Date(utc);
  const now = currentSession();
  if ("member" in now) {
    try {
      return at.toLocaleString("en-GB", { ...options, timeZone: now.member.time_zone });
    } catch {
      // An old browser may not know the zone; its own is the next best.
    }
  }
  return at.toLocaleString("en-GB", options);
}

/** capital begins a sentence with a text. */
export const capital = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);

/** Several names as one reads them out. */
export function listed(names: string[]): string {
  return names.length < 2 ? (names[0] ?? "nobody") : `${names.slice(0, -1).join(", ")} and ${names[names.length - 1] ?? ""}`;
}

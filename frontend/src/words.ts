/** When something happened, in the reader's own time zone. */
export function when(utc: string): string {
  return new Date(utc).toLocaleString("en-GB", { day: "numeric", month: "short", year: "numeric", hour: "2-digit", minute: "2-digit" });
}

/** The day something happened. */
export function day(utc: string): string {
  return new Date(utc).toLocaleDateString("en-GB", { day: "numeric", month: "short", year: "numeric" }).replaceAll(" ", "\u00a0");
}

/** Several names as one reads them out. */
export function listed(names: string[]): string {
  return names.length < 2 ? (names[0] ?? "nobody") : `${names.slice(0, -1).join(", ")} and ${names[names.length - 1] ?? ""}`;
}

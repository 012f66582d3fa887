/**
 * What people type into a field for a number: 2.6, 2,6 m, 3/4 in, 5 ft 3 in.
 * Start at understand. Nothing is guessed: what can be read in two ways is
 * asked back.
 */
import { all, toBase, type Quantity, type Unit } from "./units";

/** A number that was understood: its value in the base unit, and what it was typed as. */
export interface Value {
  kind: "value";
  base: number;
  typed: number;
  unit: Unit;
  /** No unit was typed: it is in the one beside the field. */
  bare: boolean;
}

/** What a field made of its text. */
export type Understood = { kind: "empty" } | Value | { kind: "unclear"; message: string };

/**
 * understand reads "2.6", "2,6", "3/4 in", "1 1/2 in", "5 ft 3 in", "15 psi".
 * Without a unit of its own the text is in the given one.
 */
export function understand(text: string, given: Unit): Understood {
  const plain = plainly(text);
  if (plain === "") {
    return { kind: "empty" };
  }
  if (/±|\+ ?\/? ?-/.test(plain)) {
    return unclear("No tolerance is taken here. Type one number.");
  }
  if (given.name.endsWith(" abs")) {
    return absolute(plain, given);
  }
  return (given.quantity === "length" ? feetAndInches(plain, given) : null) ?? oneNumber(plain, given);
}

/** absolute reads a pressure that counts from vacuum. One read off a gauge is not taken for it. */
function absolute(plain: string, given: Unit): Understood {
  if (/(g|\(g\)|gauge)$/i.test(plain) && !/hg$/i.test(plain)) {
    return unclear("This pressure counts from vacuum. Add that of the open air to what a gauge reads: 1.013 bar or 14.7 psi at sea level.");
  }
  return oneNumber(plain.replace(/(bar|psi|pa) ?(abs\.?|absolute|a|\(a\))$/i, "$1"), given);
}

/** unclear is the answer to a text that is not understood. */
export const unclear = (message: string) => ({ kind: "unclear" as const, message });

/** plainly writes the signs that phones and books use as those of a keyboard. */
function plainly(text: string): string {
  return text
    .replace(/[¼-¾⅐-⅞]/g, (sign) => ` ${sign.normalize("NFKC").replace("⁄", "/")}`)
    .replace(/\s*[×x]\s*10(?:\^([-−]?\d+)|([⁻⁰¹²³⁴⁵⁶⁷⁸⁹]+))/, (_, typed?: string, raised?: string) => `e${(typed ?? raised ?? "").normalize("NFKC").replace("−", "-")}`)
    .replace(/[−–]/g, "-")
    .replace(/\s+/g, " ")
    .trim()
    .replace(/^([+-]?) (?=\d)/, "$1")
    .replace(/^([+-]?\d+)-(?=\d+\/\d)/, "$1 "); // 1-1/2 as it stands on a fitting
}

function oneNumber(plain: string, given: Unit): Understood {
  const [, digits = "", word = ""] = /^([+-]?[\d.,/ ]*[\d.,](?:[eE][+-]?\d+)?)\s*(.*)$/.exec(plain) ?? [];
  const typed = readNumber(digits.trim());
  if (typed === null) {
    return unclear(whyUnclear(digits.trim(), plain, given));
  }
  const unit = word === "" || word === given.name ? given : spelled(given.quantity, word);
  if (!unit) {
    return unclear(unknownUnit(word, given));
  }
  if (word === "" && digits.includes("/") && /^[µmck]?m$/.test(given.name)) {
    return unclear(`Is “${plain}” in inches or in ${given.name}? Type ${plain} in, or ${Number(typed.toPrecision(6))} ${given.name}.`);
  }
  const base = toBase(typed, unit);
  return Number.isFinite(base) ? { kind: "value", base, typed, unit, bare: word === "" } : unclear("This number is too large to be meant.");
}

const feet = /^([+-]?)(\d[\d.,/ ]*?) ?(?:'|’|′|ft\.?|foot|feet)[ ,-]*(\d[\d.,/ ]*?) ?(?:"|″|”|“|''|’’|′′|in\.?|inch|inches)?$/i;

/** feetAndInches reads 5 ft 3 in and 5' 3 1/2"; null where the text is no such pair. */
function feetAndInches(plain: string, given: Unit): Understood | null {
  const [whole, sign, high = "", low = ""] = feet.exec(plain) ?? [];
  if (whole === undefined) {
    return null;
  }
  const [ft, inches] = [readNumber(high), readNumber(low)];
  if (ft === null || inches === null) {
    return unclear(whyUnclear(ft === null ? high : low, plain, given));
  }
  if (inches >= 12 || !Number.isInteger(ft)) {
    return unclear(`“${plain}” is not feet and inches: whole feet, then less than 12 inches. Type one such as 5 ft 3 in.`);
  }
  const unit = spelled("length", "ft") ?? given;
  const typed = (sign === "-" ? -1 : 1) * (ft + inches / 12);
  return { kind: "value", base: toBase(typed, unit), typed, unit, bare: false };
}

function spelled(quantity: Quantity, word: string): Unit | undefined {
  const own = all.filter((u) => u.quantity === quantity && u.name !== "");
  const loose = (text: string) => text.toLowerCase().replace(/\s/g, "");
  return own.find((u) => u.name === word) ?? own.find((u) => loose(u.name) === loose(word) || u.spellings.includes(loose(word)));
}

function unknownUnit(word: string, given: Unit): string {
  if (given.name === "" || given.name === "%") {
    return `Type a plain number here, without “${word}”.`;
  }
  if (given.quantity === "other") {
    return `Type a number in ${given.name} here, without “${word}”.`;
  }
  const other = all.find((u) => u.quantity !== given.quantity && spelled(u.quantity, word));
  if (!other) {
    const known = all.filter((u) => u.quantity === given.quantity).map((u) => u.name);
    return `“${word}” is not a unit known here. Known: ${known.join(", ")}.`;
  }
  const water = given.quantity === "pressure" && other.quantity === "length" ? ` For a height of water add the word: ${word} water.` : "";
  return `“${word}” is a unit of ${other.quantity}; a unit of ${given.quantity} is wanted here, such as ${given.name}.${water}`;
}

function whyUnclear(digits: string, text: string, given: Unit): string {
  if (digits.includes(",") && digits.includes(".")) {
    return `“${text}” has both a comma and a point. Type one decimal sign and no thousands sign.`;
  }
  if (/,.*,|\..*\./.test(digits)) {
    return `“${text}” has two ${digits.includes(",") ? "commas" : "points"}. Type one decimal sign and no thousands sign.`;
  }
  if (thousands.test(digits)) {
    return `“${digits}” can be read in two ways. Type ${digits.replace(",", ".")} or ${digits.replace(",", "")}.`;
  }
  return `“${text}” is not a number. Type one such as 2.6${given.name === "" ? "" : ` or 2,6 ${given.name}`}.`;
}

const thousands = /^[+-]?[1-9]\d{0,2},\d{3}$/;

/** readNumber reads a decimal with point or comma, groups of three parted by spaces, or a workshop fraction. */
export function readNumber(text: string): number | null {
  const mixed = /^([+-]?)(?:(\d+) )?(\d+)\/(\d+)$/.exec(text);
  if (mixed) {
    const [, sign = "", whole = "0", over = "0", under = "0"] = mixed;
    const size = Number(whole) + Number(over) / Number(under);
    return Number(under) === 0 ? null : sign === "-" ? -size : size;
  }
  const joined = /^[+-]?\d{1,3}( \d{3})+([.,]\d+)?$/.test(text) ? text.replaceAll(" ", "") : text;
  if (thousands.test(text) || !/^[+-]?(\d+([.,]\d*)?|[.,]\d+)([eE][+-]?\d+)?$/.test(joined)) {
    return null;
  }
  return Number(joined.replace(",", "."));
}

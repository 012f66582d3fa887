import type { Schema } from "../../api/client";
import type { Texts } from "../../forms/form";
import type { Entry } from "../../parts/ErrorSummary/ErrorSummary";
import { otherThan, textFor, unitsIn, type Units } from "../../system";
import { understand } from "../../typed";
import { unitNamed, type Unit } from "../../units";
import type { Names } from "./names";

type Facts = Schema<"StockFacts">;

/** The fields of a line, as typed; kind is shelf or sale, units the system of bare numbers. */
export type StockField = "kind" | "thing" | "length" | "quantity" | "kerf" | "trim" | "price" | "note" | "units";
export type StockTexts = Texts<StockField>;

export const fieldNames: Record<StockField, string> = {
  kind: "What the line says",
  thing: "What it is",
  length: "Length of one",
  quantity: "How many",
  kerf: "Width of the saw cut",
  trim: "Cut off every bar first",
  price: "Price of one",
  note: "Note",
  units: "Units",
};

const plain = unitNamed("number", "");

/** unitOf is the unit of a bare number: pipe is bought by the metre or foot, a saw cut is a matter of millimetres. */
export function unitOf(field: "length" | "kerf" | "trim", units: string): Unit {
  return field === "length" ? unitsIn(units).typed("length") : unitNamed("length", units === "us" ? "in" : "mm");
}

export function emptyTexts(system: Units["system"], asked: { thing?: string; sale?: boolean }): StockTexts {
  return { kind: asked.sale ? "sale" : "shelf", thing: asked.thing ?? "", length: "", quantity: "1", kerf: "", trim: "", price: "", note: "", units: system };
}

/** textsOf writes a line the way it would be typed. */
export function textsOf(item: Facts, names: Names, system: string): StockTexts {
  const write = (field: "length" | "kerf" | "trim", value: number | null) =>
    value === null ? "" : textFor(value, unitOf(field, system), unitOf(field, otherThan(unitsIn(system)).system));
  return {
    kind: item.for_sale ? "sale" : "shelf",
    thing: names.of(item.key),
    length: write("length", item.length_m),
    quantity: item.quantity === null ? "1" : String(item.quantity),
    kerf: write("kerf", item.kerf_m),
    trim: write("trim", item.trim_m),
    price: item.price === null ? "" : (item.price / 100).toFixed(2),
    note: item.note,
    units: system,
  };
}

/** factsOf reads the form; what the chosen kind does not ask for is left out. */
export function factsOf(texts: StockTexts, names: Names): { facts: Facts } | { faults: Entry[] } {
  const faults: Entry[] = [];
  const read = (field: StockField, unit: Unit): number | null => {
    const u = understand(texts[field], unit);
    if (u.kind === "unclear") {
      faults.push({ field, message: `${fieldNames[field]}: ${u.message}` });
    }
    return u.kind === "value" ? u.base : null;
  };
  const sale = texts.kind === "sale";
  const key = names.key(texts.thing);
  if (key === "") {
    faults.push({ field: "thing", message: "Choose a pipe, or type what the thing is called." });
  }
  const length_m = read("length", unitOf("length", texts.units));
  const cut = sale && length_m !== null;
  const quantity = sale ? null : read("quantity", plain);
  if (quantity !== null && !Number.isInteger(quantity)) {
    faults.push({ field: "quantity", message: "How many: type a whole number." });
  }
  const price = read("price", plain);
  const facts: Facts = {
    key,
    for_sale: sale,
    length_m,
    quantity,
    kerf_m: cut ? read("kerf", unitOf("kerf", texts.units)) : null,
    trim_m: cut ? read("trim", unitOf("trim", texts.units)) : null,
    price: price === null ? null : Math.round(price * 100),
    note: texts.note,
  };
  return faults.length > 0 ? { faults } : { facts };
}

const fields: Record<string, StockField> = {
  "/key": "thing",
  "/length_m": "length",
  "/quantity": "quantity",
  "/kerf_m": "kerf",
  "/trim_m": "trim",
  "/price": "price",
  "/note": "note",
};

/** fieldOf finds the field that a pointer of the server means. */
export const fieldOf = (pointer: string): string | undefined => fields[pointer];

import { api, ask, type Answer, type Schema } from "../../api/client";
import { namesOf, type Names } from "./names";

/** What the pages of the stock list are made from. */
export interface Stock {
  items: Schema<"StockItem">[];
  names: Names;
}

/** fetchStock asks for the list and for the catalogue that names its pipes. */
export async function fetchStock(): Promise<Answer<Stock>> {
  const [stock, catalogue] = await Promise.all([ask(api.GET("/api/v1/stock")), ask(api.GET("/api/v1/catalogue"))]);
  if (!stock.ok) {
    return stock;
  }
  return catalogue.ok ? { ...stock, data: { items: stock.data.items, names: namesOf(catalogue.data.items) } } : catalogue;
}

import type { ComponentChildren } from "preact";
import "./ledger.css";

/** Ledger holds a table on a desk that is a list of entries on a phone: each cell says in data-of what it is. */
export function Ledger({ children }: { children: ComponentChildren }) {
  return <div class="ledger">{children}</div>;
}

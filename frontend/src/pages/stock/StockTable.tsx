import { Link } from "wouter-preact";
import type { Schema } from "../../api/client";
import { useUnits } from "../../system";
import { show } from "../../units";
import { day } from "../../words";
import { unitOf } from "./facts";
import { money } from "./money";
import type { Names } from "./names";

/** StockTable is a table on a desk and a line for each thing on a phone. */
export function StockTable({ items, names, sale = false }: { items: Schema<"StockItem">[]; names: Names; sale?: boolean }) {
  const units = useUnits();
  return (
    <table>
      <thead>
        <tr>
          <th scope="col">What</th>
          <th scope="col">Length of one</th>
          {sale ? null : <th scope="col">How many</th>}
          <th scope="col">Price of one</th>
          <th scope="col">Last changed</th>
          <th scope="col" class="off-paper">
            <span class="unseen">Correct</span>
          </th>
        </tr>
      </thead>
      <tbody>
        {items.map((i) => (
          <tr key={i.id}>
            <th scope="row">
              {names.of(i.key)}
              {i.note || i.kerf_m || i.trim_m ? <span class="small quiet note">{aside(i, units.system)}</span> : null}
            </th>
            <td data-of="Length of one">{i.length_m === null ? "by number" : units.write(i.length_m, "length")}</td>
            {sale ? null : <td data-of="How many">{i.quantity}</td>}
            <td data-of="Price of one">{i.price === null ? "not known" : money(i.price)}</td>
            <td data-of="Last changed" class="small">
              {i.changed_by.name}, {day(i.changed_at)}
            </td>
            <td class="off-paper">
              <Link class="do second" href={`/stock/${i.id}`} aria-label={`Correct: ${names.of(i.key)}${i.length_m === null ? "" : `, ${units.write(i.length_m, "length")}`}`}>
                Correct
              </Link>
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function aside(i: Schema<"StockItem">, system: string): string {
  const write = (m: number) => show(m, unitOf("kerf", system), 3);
  return [i.kerf_m ? `Saw cut ${write(i.kerf_m)}.` : "", i.trim_m ? `Trim ${write(i.trim_m)}.` : "", i.note].filter(Boolean).join(" ");
}

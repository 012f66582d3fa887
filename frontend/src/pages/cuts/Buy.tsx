import type { Schema } from "../../api/client";
import { useUnits } from "../../system";
import { money } from "../stock/money";
import type { Names } from "../stock/names";
import { SayHowSold } from "./SayHowSold";

interface Line {
  key: string;
  needed: string;
  atHand: string;
  buy: string;
  cost: number | null;
}

/** Buy says of each thing what is needed, what is at hand, what is left to buy and what it costs. */
export function Buy({ cuts, names }: { cuts: Schema<"Cuts">; names: Names }) {
  const units = useUnits();
  const write = (m: number) => units.write(m, "length");
  const lines = [...cuts.plan.map((p) => ofPipe(p, write)), ...cuts.counts.map(ofCount)];
  const used = cuts.rows.filter((r) => r.kind === "consumable");
  return (
    <section aria-labelledby="buy-title">
      <h2 id="buy-title">At hand and to buy</h2>
      <table>
        <thead>
          <tr>
            <th scope="col">What</th>
            <th scope="col">Needed</th>
            <th scope="col">At hand</th>
            <th scope="col">To buy</th>
            <th scope="col" class="sum">
              Cost
            </th>
          </tr>
        </thead>
        <tbody>
          {lines.map((l) => (
            <tr key={l.key}>
              <th scope="row">{names.of(l.key)}</th>
              <td data-of="Needed">{l.needed}</td>
              <td data-of="At hand">{l.atHand}</td>
              <td data-of="To buy">{l.buy}</td>
              <td data-of="Cost" class="sum">
                {l.cost !== null ? money(l.cost) : <SayHowSold thing={l.key} name={names.of(l.key)} words="not known" />}
              </td>
            </tr>
          ))}
          {used.map((r) => (
            <tr key={r.name}>
              <th scope="row">
                {r.name}
                {r.note ? <span class="small quiet note">{r.note}</span> : null}
              </th>
              <td data-of="Needed">
                for {r.qty} {r.qty === 1 ? "joint" : "joints"}
              </td>
              <td data-of="At hand">look on the shelf</td>
              <td data-of="To buy">as needed</td>
              <td data-of="Cost" class="sum">
                not counted
              </td>
            </tr>
          ))}
        </tbody>
        <tfoot>
          <tr>
            <th scope="row" colSpan={4}>
              {cuts.cost.unpriced.length === 0 ? "To buy, all together" : `To buy, as far as prices are known; ${cuts.cost.unpriced.length} without a price`}
            </th>
            <td class="sum">{money(cuts.cost.known)}</td>
          </tr>
        </tfoot>
      </table>
    </section>
  );
}

function ofPipe(p: Schema<"PipeCuts">, write: (m: number) => string): Line {
  const shelf = p.bars.filter((b) => b.item !== null);
  const pieces = p.bars.reduce((n, b) => n + b.cuts.length, p.unplaced.reduce((n, u) => n + u.qty, 0));
  const total = p.bars.reduce((m, b) => m + b.cuts.reduce((s, c) => s + c.length_m, 0), p.unplaced.reduce((m, u) => m + u.qty * u.length_m, 0));
  return {
    key: p.key,
    needed: `${write(total)} in ${pieces} ${pieces === 1 ? "piece" : "pieces"}`,
    atHand: shelf.length === 0 ? "none" : `${write(shelf.reduce((m, b) => m + b.length_m, 0))} in ${shelf.length} ${shelf.length === 1 ? "length" : "lengths"}`,
    buy: p.unplaced.length > 0 ? "see the cutting plan" : p.buy === 0 ? "nothing" : `${p.buy} × ${write(p.stock_m)}`,
    cost: p.cost,
  };
}

function ofCount(c: Schema<"CountPlan">): Line {
  return { key: c.key, needed: String(c.qty), atHand: c.at_hand === 0 ? "none" : String(c.at_hand), buy: c.buy === 0 ? "nothing" : String(c.buy), cost: c.cost };
}

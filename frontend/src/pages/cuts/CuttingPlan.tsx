import type { ComponentChildren } from "preact";
import type { Schema } from "../../api/client";
import { useUnits } from "../../system";
import { show } from "../../units";
import { unitOf } from "../stock/facts";
import { money } from "../stock/money";
import type { Stock } from "../stock/fetch";
import { BarPicture } from "./BarPicture";
import { sameBars, type Same } from "./bars";
import { cutLength } from "./length";
import { SayHowSold } from "./SayHowSold";

type Plan = Schema<"PipeCuts">;

/** CuttingPlan draws which piece comes out of which bar, all bars to one scale. */
export function CuttingPlan({ plan, stock, children }: { plan: Plan[]; stock: Stock; children: ComponentChildren }) {
  return (
    <section aria-labelledby="plan-title">
      <h2 id="plan-title">Cutting plan</h2>
      <p class="warn">
        <b>Before the first cut:</b> hold the lengths against the fittings that you have. Makers differ in how far a pipe goes in.
      </p>
      {children}
      {plan.length === 0 ? <p class="quiet">No pipe is to be cut.</p> : null}
      {plan.map((p) => (
        <OnePipe key={p.key} plan={p} stock={stock} />
      ))}
    </section>
  );
}

function OnePipe({ plan: p, stock }: { plan: Plan; stock: Stock }) {
  const units = useUnits();
  const name = stock.names.of(p.key);
  const longest = Math.max(...p.bars.map((b) => b.length_m));
  const small = (m: number) => show(m, unitOf("kerf", units.system), 3);
  const saw = `${p.kerf_m > 0 ? `Saw cut ${small(p.kerf_m)}` : "No saw cut counted"}${p.trim_m > 0 ? `, ${small(p.trim_m)} cut off every bar first` : ""}.`;
  return (
    <section class="pipe" aria-label={name}>
      <h3>{name}</h3>
      <p class="small">
        {saw} {p.exact ? "No plan buys less." : "A good plan; a better one is not ruled out."}{" "}
        {p.listed ? (
          p.buy > 0 ? (
            `Sold in ${units.write(p.stock_m, "length")}${p.price === null ? ", price not known" : ` at ${money(p.price)}`}.`
          ) : null
        ) : p.buy > 0 ? (
          <SayHowSold thing={p.key} name={name} words={`Taken as sold in ${units.write(p.stock_m, "length")}, as such pipe mostly is: the stock list does not say. `} />
        ) : null}
      </p>
      {p.unplaced.length > 0 ? (
        <div class="warn">
          <p>
            <b>Too long for any bar</b> at hand or for sale:
          </p>
          <ul>
            {p.unplaced.map((u, i) => (
              <li key={i}>
                {u.for}, {units.write(u.length_m, "length")}
              </li>
            ))}
          </ul>
          <p>Find it in longer lengths and enter that in the stock list, or plan a joint on the way.</p>
        </div>
      ) : null}
      <ul class="bars">
        {sameBars(p.bars).map((same, i) => (
          <li key={i}>
            <BarPicture same={same} longest={longest} kerf={p.kerf_m} trim={p.trim_m} />
            <BarWords same={same} stock={stock} />
          </li>
        ))}
      </ul>
    </section>
  );
}

function BarWords({ same: { bar, count, runs }, stock }: { same: Same; stock: Stock }) {
  const units = useUnits();
  const item = stock.items.find((i) => i.id === bar.item);
  const length = units.write(bar.length_m, "length");
  return (
    <>
      <p>
        <b>
          {count > 1 ? `${count} × ` : ""}
          {length} {bar.item === null ? "to buy" : "from the shelf"}
        </b>
        {item?.note ? <span class="quiet"> ({item.note.replace(/\.$/, "")})</span> : null}
        {bar.offcut_m > 0 ? `, leaves ${units.write(bar.offcut_m, "length")}` : ", nothing left over"}
      </p>
      <ol class="pieces">
        {runs.map((r) => (
          <li key={r.label}>
            {r.count > 1 ? `${r.count} × ` : ""}
            {cutLength(r.length_m, units.system)} {r.for}
          </li>
        ))}
      </ol>
    </>
  );
}

import { Link } from "wouter-preact";
import { useLoad } from "../../api/load";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";
import { fetchStock, type Stock } from "./fetch";
import { StockTable } from "./StockTable";
import "./page.css";

/** StockPage is the group's own list: what lies on the shelf, and how things are sold. */
export default function StockPage() {
  const { loaded, again } = useLoad<Stock>(fetchStock, []);
  return (
    <PageFrame title="Stock list" trail={[{ href: "/group", name: "Group" }]} wide>
      <p>
        What the group has at hand and what things cost. A cutting plan takes from here what saves a length to buy, and buys the rest as it stands here. Every member may
        add to it and correct it.
      </p>
      {loaded.state !== "here" ? <Waiting loaded={loaded} again={again} /> : <Lists {...loaded.data} />}
    </PageFrame>
  );
}

function Lists({ items, names }: Stock) {
  const shelf = items.filter((i) => !i.for_sale);
  const sale = items.filter((i) => i.for_sale);
  return (
    <div class="stock">
      <section aria-labelledby="shelf-title">
        <h2 id="shelf-title">On the shelf</h2>
        {shelf.length === 0 ? (
          <p class="quiet">Nothing yet. Walk along the rack once with a tape: every length of pipe worth keeping, every spare fitting. From then on the plan cuts these before it buys.</p>
        ) : (
          <StockTable items={shelf} names={names} />
        )}
        <Link class="do" href="/stock/new">
          Add what is there
        </Link>
      </section>
      <section aria-labelledby="sale-title">
        <h2 id="sale-title">How things are sold</h2>
        <p>Lengths and prices of the shops around. Prices are bare numbers in your own money.</p>
        {sale.length === 0 ? (
          <p class="quiet">Nothing yet. Until then pipe counts as sold in its usual length, at an unknown price.</p>
        ) : (
          <StockTable items={sale} names={names} sale />
        )}
        <Link class="do second" href="/stock/new?sale=1">
          Add how something is sold
        </Link>
      </section>
    </div>
  );
}

import { useSearch as useQuery } from "wouter-preact";
import { useLoad } from "../../api/load";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";
import { fetchStock, type Stock } from "./fetch";
import { StockForm } from "./StockForm";
import "./page.css";

/** ItemPage adds a line to the stock list, or corrects one. */
export default function ItemPage({ account, item }: { account: number; item: number | null }) {
  const query = new URLSearchParams(useQuery());
  const { loaded, again } = useLoad<Stock>(fetchStock, [item ?? 0]);
  const found = loaded.state === "here" ? loaded.data.items.find((i) => i.id === item) : undefined;
  const asked = { thing: query.get("thing") ?? "", sale: query.get("sale") === "1" };
  return (
    <PageFrame
      title={item === null ? "Add to the stock list" : "Correct a line of the stock list"}
      trail={[
        { href: "/group", name: "Group" },
        { href: "/stock", name: "Stock list" },
      ]}
    >
      {loaded.state !== "here" ? (
        <Waiting loaded={loaded} again={again} />
      ) : item !== null && !found ? (
        <p class="warn">This line is no more: somebody took it out. Go back to the list.</p>
      ) : (
        <StockForm key={item ?? query.toString()} account={account} names={loaded.data.names} item={found ?? null} asked={asked} />
      )}
    </PageFrame>
  );
}

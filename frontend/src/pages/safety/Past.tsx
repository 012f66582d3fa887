import { api, ask, type Schema } from "../../api/client";
import { Pages } from "../../parts/Pages/Pages";
import { Proposal } from "./Proposal";

type Item = Schema<"SafetyProposal">;

const fetchPage = (before?: number) => ask(api.GET("/api/v1/group/safety/proposals", { params: { query: { limit: 10, ...(before === undefined ? {} : { before }) } } }));

/** Past is every change that was ever proposed, with who signed it and why. */
export function Past({ changes }: { changes: number }) {
  return (
    <section aria-labelledby="past-title">
      <h2 id="past-title">Changes so far</h2>
      <Pages<Item> fetchPage={fetchPage} on={[changes]} empty="None was ever proposed." key={changes}>
        {(items) => <Decided items={items.filter((p) => p.state !== "waiting")} />}
      </Pages>
    </section>
  );
}

function Decided({ items }: { items: Item[] }) {
  if (items.length === 0) {
    return <p class="quiet">None has taken effect yet.</p>;
  }
  return (
    <>
      {items.map((p) => (
        <Proposal key={p.id} proposal={p} changed={() => undefined} />
      ))}
    </>
  );
}

import { Link } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { Ledger } from "../../parts/Ledger/Ledger";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Pages } from "../../parts/Pages/Pages";
import { when } from "../../words";
import { aboutOf, kindWords } from "./words";
import "./page.css";

type Entry = Schema<"Link">;

const fetchPage = (before?: number) => ask(api.GET("/api/v1/record", { params: { query: { limit: 50, ...(before === undefined ? {} : { before }) } } }));

/** RecordPage is everything that was ever signed, newest first. */
export default function RecordPage() {
  return (
    <PageFrame title="Record" trail={[{ href: "/group", name: "Group" }]} wide>
      <p>
        Everything that was signed here, in one chain: each link holds the digest of the one before, so that nothing can be changed, taken out or slipped in unseen. Whoever keeps
        the server proves it with <code>leat record verify</code>; given the link from a printed certificate, that finds an end that was cut off as well.
      </p>
      <div class="record">
        <Pages<Entry> fetchPage={fetchPage} on={[]} empty="Nothing was signed yet.">
          {(items) => <Links items={items} />}
        </Pages>
      </div>
    </PageFrame>
  );
}

function Links({ items }: { items: Entry[] }) {
  return (
    <Ledger>
      <table aria-label="Links of the record">
        <thead>
          <tr>
            <th scope="col">Number</th>
            <th scope="col">When</th>
            <th scope="col">Who</th>
            <th scope="col">What</th>
            <th scope="col">Link</th>
          </tr>
        </thead>
        <tbody>
          {items.map((l) => (
            <tr key={l.number}>
              <th scope="row">{l.number}</th>
              <td data-of="When">{when(l.at)}</td>
              <td data-of="Who">{l.who.name}</td>
              <td data-of="What">
                {kindWords(l.kind, l.signed)}
                <About of={l} />
              </td>
              <td data-of="Link">
                <details>
                  <summary>
                    <code>{l.link.slice(0, 8)}</code>
                  </summary>
                  <p class="small">
                    Link <code>{l.link}</code>
                  </p>
                  <p class="small">
                    Digest of what was signed <code>{l.digest}</code>
                  </p>
                  <pre class="small">{l.signed}</pre>
                </details>
              </td>
            </tr>
          ))}
        </tbody>
      </table>
    </Ledger>
  );
}

/** About leads to what was signed. */
function About({ of }: { of: Entry }) {
  const about = aboutOf(of);
  return about === null ? null : (
    <>
      : <Link href={about.href}>{about.text}</Link>
    </>
  );
}

import { Link } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { ApprovalStamp } from "../../parts/Approval/Approval";
import { Ledger } from "../../parts/Ledger/Ledger";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Pages } from "../../parts/Pages/Pages";
import { Waiting } from "../../parts/Trouble/Waiting";
import { day, listed } from "../../words";

export type Template = Schema<"Template">;

export const fetchVersions = (before?: number) => ask(api.GET("/api/v1/templates", { params: { query: { limit: 20, ...(before === undefined ? {} : { before }) } } }));

/** ProcedurePage lists the versions of the pressure-test procedure. */
export default function ProcedurePage() {
  const { loaded, again } = useLoad<Schema<"TemplateList">>(() => fetchVersions(), []);
  return (
    <PageFrame title="Test procedure" trail={[{ href: "/group", name: "Group" }]} wide>
      <p>
        Pressure-test sheets are made from the version in force. A newer version may ask for more than the one that leat comes with, never for less. It takes effect when a
        steward and a second member have signed; sheets that were begun keep the version they began with.
      </p>
      {loaded.state !== "here" ? (
        <Waiting loaded={loaded} again={again} />
      ) : (
        <>
          <Pages<Template> fetchPage={fetchVersions} on={[]} empty="There is no version.">
            {(items) => <Versions items={items} />}
          </Pages>
          {loaded.data.allowed_actions.includes("propose_template") ? (
            <p>
              <Link class="do second" href="/group/procedure/propose">
                Propose a version
              </Link>
            </p>
          ) : null}
        </>
      )}
    </PageFrame>
  );
}

function Versions({ items }: { items: Template[] }) {
  return (
    <Ledger>
      <table aria-label="Versions">
        <thead>
          <tr>
            <th scope="col">Version</th>
            <th scope="col">State</th>
            <th scope="col">Items</th>
            <th scope="col">Proposed by</th>
            <th scope="col">Signed by</th>
          </tr>
        </thead>
        <tbody>
          {items.map((t) => (
            <tr key={t.version}>
              <th scope="row">
                <Link href={`/group/procedure/${t.version}`}>Version {t.version}</Link>
                <span class="small quiet">{t.why}</span>
              </th>
              <td>
                <ApprovalStamp state={t.state} />
              </td>
              <td data-of="Items">{t.item_count}</td>
              <td data-of="Proposed by">{t.by ? `${t.by.name}, ${t.at ? day(t.at) : ""}` : "it comes with leat"}</td>
              <td data-of="Signed by">{t.by ? listed(t.signatures.map((s) => s.by.name)) : "–"}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </Ledger>
  );
}

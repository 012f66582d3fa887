import { useLocation, useSearch as useQuery } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";
import { fetchSite } from "../site/fetch";
import { AskedForm } from "./AskedForm";
import { Outcome } from "./Outcome";
import { useSearch } from "./watch";
import "./page.css";

interface Ready {
  form: Schema<"SearchForm">;
  site: Schema<"Site"> | null;
}

/** SearchPage answers what a site can give: the best few machines for a wish, each one press from a draft. */
export default function SearchPage({ account }: { account: number }) {
  const query = new URLSearchParams(useQuery());
  const project = idOf(query.get("project"));
  const id = query.get("search");
  const [, go] = useLocation();
  const { loaded, again } = useLoad<Ready>(() => fetchReady(project), [project ?? 0]);
  const { watched, again: lookAgain } = useSearch(id);
  // The address names the search, so that a reload finds it again.
  const show = (search: string | null) => go(`/site${asQuery({ ...(project ? { project: String(project) } : {}), ...(search ? { search } : {}) })}`, { replace: true });
  const trail = project
    ? [
        { href: "/projects", name: "Projects" },
        { href: `/projects/${project}`, name: "Project" },
      ]
    : [];
  return (
    <PageFrame title="What can my site give?" trail={trail}>
      <p>Say how much water falls and how far. Every machine that fits the site is tried, from the pipes of the catalogue, and the best few are shown.</p>
      {loaded.state === "here" ? (
        <>
          <AskedForm key={project ?? 0} account={account} project={project} families={loaded.data.form.families} site={loaded.data.site} onStarted={show} />
          <Outcome account={account} project={project} watched={watched} again={lookAgain} onCancelled={() => show(null)} />
        </>
      ) : (
        <Waiting loaded={loaded} again={again} />
      )}
    </PageFrame>
  );
}

async function fetchReady(project: number | null) {
  const [form, site] = await Promise.all([ask(api.GET("/api/v1/searches")), project ? fetchSite(project) : null]);
  if (!form.ok) {
    return form;
  }
  return site && !site.ok ? site : { ...form, data: { form: form.data, site: site?.data ?? null } };
}

const idOf = (text: string | null) => (text && /^[1-9]\d{0,14}$/.test(text) ? Number(text) : null);

function asQuery(values: Record<string, string>): string {
  const text = new URLSearchParams(values).toString();
  return text && `?${text}`;
}

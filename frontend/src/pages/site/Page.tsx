import type { Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";
import { Gaugings } from "./Gaugings";
import { fetchSite } from "./fetch";
import { SiteForm } from "./SiteForm";

/** SitePage is where a site is described, and described again. */
export function SitePage({ account, project }: { account: number; project: number }) {
  const { loaded, again } = useLoad<Schema<"Site">>(() => fetchSite(project), [project]);
  return (
    <PageFrame
      title="The site"
      trail={[
        { href: "/projects", name: "Projects" },
        { href: `/projects/${project}`, name: "Project" },
      ]}
    >
      {loaded.state === "here" ? (
        <>
          <SiteForm account={account} site={loaded.data} etag={loaded.etag} />
          <Gaugings site={loaded.data} />
        </>
      ) : (
        <Waiting loaded={loaded} again={again} />
      )}
    </PageFrame>
  );
}

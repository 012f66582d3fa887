import { useEffect } from "preact/hooks";
import { useLocation } from "wouter-preact";
import { api, ask } from "../../api/client";
import { useLoad } from "../../api/load";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";
import { buildPath, type Build } from "./fetch";
import { tagName } from "./states";

/** TagPage is where the code on a label leads: it goes on to the page of that machine. */
export default function TagPage({ tag }: { tag: number }) {
  const [, go] = useLocation();
  const { loaded, again } = useLoad<Build>(() => ask(api.GET("/api/v1/builds/tags/{tag}", { params: { path: { tag } } })), [tag]);
  useEffect(() => {
    if (loaded.state === "here") {
      go(buildPath({ project: loaded.data.project, build: loaded.data.id }), { replace: true });
    }
  }, [loaded]);
  return (
    <PageFrame title={`Machine ${tagName(tag)}`} trail={[{ href: "/projects", name: "Projects" }]}>
      <Waiting loaded={loaded} again={again} />
    </PageFrame>
  );
}

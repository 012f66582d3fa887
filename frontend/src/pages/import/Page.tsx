import { useState } from "preact/hooks";
import { Link } from "wouter-preact";
import type { Schema } from "../../api/client";
import { useSession } from "../../api/session";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { ImportForm } from "./ImportForm";

const trail = [{ href: "/projects", name: "Projects" }];

/** ImportPage is where a keeper brings in a project that another group took along. */
export default function ImportPage() {
  const session = useSession();
  const member = "member" in session ? session.member : null;
  const [project, setProject] = useState<Schema<"Project"> | null>(null);
  return (
    <PageFrame title={project ? `“${project.title}” is here` : "Bring in a project of another group"} trail={trail} key={project ? "here" : "asked"}>
      {!member?.roles.includes("keeper") ? (
        <p>Only a keeper of the group may. Ask one, and hand over the file.</p>
      ) : project ? (
        <Here project={project} />
      ) : (
        <>
          <p>
            On the project’s page there, any member can take it along as one file. All of it is brought in here, or nothing. Both servers must run the same release of leat.
          </p>
          <p>
            <b>What was signed there gives no right here.</b> It becomes part of the record, under the names that people had there. No certificate that comes with it holds, and nothing may be built or tested on a check of theirs.
          </p>
          <ImportForm member={member} here={setProject} />
        </>
      )}
    </PageFrame>
  );
}

function Here({ project: p }: { project: Schema<"Project"> }) {
  return (
    <>
      <p>All of it was brought in. Nobody of this group is on its crew yet: add somebody on its page.</p>
      <p>
        <Link class="do" href={`/projects/${p.id}`}>
          Open “{p.title}”
        </Link>
      </p>
    </>
  );
}

import { useState } from "preact/hooks";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { memberChanged } from "../../api/session";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";
import { Acts } from "./Acts";
import { Invitations } from "./Invitations";
import { Keeping } from "./Keeping";
import { People } from "./People";
import { Settings } from "./Settings";
import { mayDo, type Role } from "./words";
import "./page.css";

export type Group = Schema<"Group">;

export function fetchGroup() {
  return ask(api.GET("/api/v1/group"));
}

/** GroupPage is who is in the group, what each may do, and what was done about it. */
export default function GroupPage({ account }: { account: number }) {
  const [changes, setChanges] = useState(0);
  const { loaded, again } = useLoad<Group>(fetchGroup, [changes]);
  const changed = () => {
    setChanges((n) => n + 1);
    void ask(api.GET("/api/v1/me")).then((a) => {
      if (a.ok) {
        memberChanged(a.data); // units, time zone or a role of one's own may be among it
      }
    });
  };
  if (loaded.state !== "here") {
    return (
      <PageFrame title="Group" key="waiting">
        <Waiting loaded={loaded} again={again} />
      </PageFrame>
    );
  }
  const group = loaded.data;
  const etag = loaded.etag ?? "";
  return (
    <PageFrame title={group.name || "Group"} key="here">
      <div class="group">
        <People account={account} group={group} etag={etag} changed={changed} />
        <Invitations account={account} may={group.allowed_actions.includes("invite")} changes={changes} changed={changed} />
        <Keeping />
        <RoleWords />
        <Settings key={JSON.stringify([group.name, group.units, group.time_zone])} account={account} group={group} etag={etag} changed={changed} />
        <Acts changes={changes} />
      </div>
    </PageFrame>
  );
}

function RoleWords() {
  return (
    <section aria-labelledby="roles-title">
      <h2 id="roles-title">What each role may do</h2>
      <p>Roles add up. Nobody gives a role to themselves.</p>
      <dl class="role-words">
        {(Object.keys(mayDo) as Role[]).map((role) => (
          <div key={role}>
            <dt>{role}</dt>
            <dd>{mayDo[role]}</dd>
          </div>
        ))}
      </dl>
    </section>
  );
}

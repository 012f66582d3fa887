import type { ComponentChildren } from "preact";
import { signOut, useSession } from "../../api/session";

/** Entrance lets through whoever is not signed in; who is, is told what the page is for and how to go on. */
export function Entrance({ what, children }: { what: string; children: ComponentChildren }) {
  const session = useSession();
  if (session.state !== "in" && session.state !== "ended") {
    return <>{children}</>;
  }
  return (
    <div class="stack">
      <p>
        You are signed in as {session.member.name}. {what} If it is for you, sign out first; the code stays in the address.
      </p>
      <button type="button" onClick={() => void signOut().catch(() => undefined)}>
        Sign out
      </button>
    </div>
  );
}

import { useLocation } from "wouter-preact";
import { Chrome } from "./parts/Chrome/Chrome";
import { PageFrame } from "./parts/PageFrame/PageFrame";
import { TroubleNote } from "./parts/Trouble/TroubleNote";
import { useSession } from "./api/session";
import { useBoot } from "./boot";
import { SetupPage } from "./pages/setup/Page";
import { SignInPage } from "./pages/signin/Page";
import { entrances, Pages, StreamPage } from "./router";

/** App is the notebook in the browser: set-up, sign-in, or the pages for who is signed in. */
export function App() {
  const session = useSession();
  const { boot, again } = useBoot();
  const [location] = useLocation();
  const Entrance = entrances[location];
  if (boot.state === "loading") {
    return <Chrome />;
  }
  if (boot.state === "failed") {
    return location === "/stream" ? (
      <Chrome>
        <StreamPage />
      </Chrome>
    ) : (
      <Chrome>
        <PageFrame title="The notebook does not answer">
          <TroubleNote trouble={boot.trouble} again={again} />
        </PageFrame>
      </Chrome>
    );
  }
  if (session.state === "in" || session.state === "ended") {
    return (
      <Chrome member={session.member} ended={session.state === "ended"}>
        {Entrance ? <Entrance /> : <Pages account={session.member.id} />}
      </Chrome>
    );
  }
  if (boot.setup.needs_keeper) {
    return (
      <Chrome>
        <SetupPage />
      </Chrome>
    );
  }
  return <Chrome>{Entrance ? <Entrance /> : <SignInPage demo={boot.setup.demo} />}</Chrome>;
}

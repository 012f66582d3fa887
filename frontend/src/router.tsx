import type { ComponentType } from "preact";
import { useEffect, useState } from "preact/hooks";
import { Route, Switch } from "wouter-preact";
import { NotFound } from "./pages/notfound/Page";
import { PageFrame } from "./parts/PageFrame/PageFrame";

/** What the design sheet is told by its address. */
export interface DesignAddress {
  project: number;
  design: number;
}

const DesignSheet = later<DesignAddress>(() => import("./pages/sheet/Page"));

/** Pages says which page stands at which address; each one has its own. */
export function Pages() {
  return (
    <Switch>
      <Route path="/projects/:project/designs/:design">
        {(p) => {
          const [project, design] = [idFrom(p.project), idFrom(p.design)];
          return project && design ? <DesignSheet key={`${project}/${design}`} project={project} design={design} /> : <NotFound />;
        }}
      </Route>
      <Route>
        <NotFound />
      </Route>
    </Switch>
  );
}

/** idFrom reads an id of an address; null for what can't be one. */
function idFrom(text: string): number | null {
  return /^[1-9]\d{0,14}$/.test(text) ? Number(text) : null;
}

/** later loads a page when it is first shown, and says so when it can't be fetched. */
function later<P extends object>(load: () => Promise<{ default: ComponentType<P> }>) {
  let page: ComponentType<P> | null = null;
  return function Later(props: P) {
    const [, redraw] = useState(0);
    const [failed, setFailed] = useState(false);
    const [attempt, setAttempt] = useState(0);
    useEffect(() => {
      if (page) {
        return;
      }
      load().then(
        (m) => {
          page = m.default;
          redraw((n) => n + 1);
        },
        () => setFailed(true),
      );
    }, [attempt]);
    if (page) {
      const Page = page;
      return <Page {...props} />;
    }
    const again = () => {
      setFailed(false);
      setAttempt((n) => n + 1);
    };
    return (
      <PageFrame title={failed ? "This page could not be fetched" : "Fetching the sheet"}>
        {failed ? (
          <div class="stack">
            <p>There was no connection to the notebook. Nothing was lost.</p>
            <button type="button" onClick={again}>
              Try again
            </button>
          </div>
        ) : null}
      </PageFrame>
    );
  };
}

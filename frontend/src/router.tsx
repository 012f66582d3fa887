import type { ComponentType, JSX } from "preact";
import { useEffect, useState } from "preact/hooks";
import { Route, Switch } from "wouter-preact";
import type { BuildAddress } from "./pages/build/fetch";
import { ChangeProjectPage } from "./pages/changeproject/Page";
import type { LetterAt } from "./pages/check/fetch";
import { GaugingPage } from "./pages/gauging/Page";
import { NewDesignPage } from "./pages/newdesign/Page";
import { NewProjectPage } from "./pages/newproject/Page";
import { NotFound } from "./pages/notfound/Page";
import { ProjectPage } from "./pages/project/Page";
import { ProjectsPage } from "./pages/projects/Page";
import type { RunAddress } from "./pages/run/fetch";
import type { FileAddress, SentAddress } from "./pages/series/fetch";
import { refOf, type Ref } from "./pages/sheet/refs";
import { SitePage } from "./pages/site/Page";
import type { TestAddress } from "./pages/test/fetch";
import { WaitingPage } from "./pages/waiting/Page";
import { useDelivery } from "./outbox/outbox";
import { PageFrame } from "./parts/PageFrame/PageFrame";

/** What the design sheet is told by its address. */
export interface DesignAddress {
  project: number;
  design: number;
}

/** The pages for a code from a keeper, for whoever is not signed in. */
export const entrances: Record<string, ComponentType<object>> = {
  "/join": later<object>(() => import("./pages/join/Page")),
  "/reset": later<object>(() => import("./pages/reset/Page")),
};

/** The page for the water's edge, which works without the notebook. */
export const StreamPage = later<object>(() => import("./pages/stream/Page"));

const SearchPage = later<{ account: number }>(() => import("./pages/search/Page"));
const ReckonerPage = later<object>(() => import("./pages/reckoner/Page"));
const CalculationPage = later<{ family: string; name: string }>(() => import("./pages/reckoner/One"));
const YouPage = later<object>(() => import("./pages/you/Page"));
const StockPage = later<object>(() => import("./pages/stock/Page"));
const StockItemPage = later<{ account: number; item: number | null }>(() => import("./pages/stock/ItemPage"));
const InstrumentsPage = later<object>(() => import("./pages/instruments/Page"));
const InstrumentPage = later<{ account: number; instrument: number }>(() => import("./pages/instruments/OnePage"));
const InstrumentForm = later<{ account: number; instrument: number | null }>(() => import("./pages/instruments/FormPage"));
const SafetyPage = later<object>(() => import("./pages/safety/Page"));
const ProposeSafety = later<{ account: number }>(() => import("./pages/safety/ProposePage"));
const ProcedurePage = later<object>(() => import("./pages/procedure/Page"));
const ProcedureVersion = later<{ version: number }>(() => import("./pages/procedure/VersionPage"));
const ProposeProcedure = later<{ account: number }>(() => import("./pages/procedure/ProposePage"));
const EvidencePage = later<object>(() => import("./pages/evidence/Page"));
const SetsPage = later<{ account: number }>(() => import("./pages/sets/ListPage"));
const SetPage = later<{ number: number }>(() => import("./pages/sets/OnePage"));
const RecordPage = later<object>(() => import("./pages/record/Page"));
const GroupPage = later<{ account: number }>(() => import("./pages/group/Page"));
/** What the page of a kept sheet is told by its address. */
export interface KeptAddress {
  project: number;
  sheet: Ref;
}

/** What the page that compares two sheets is told by its address. */
export interface CompareAddress {
  project: number;
  left: Ref;
  right: Ref;
}

const KeptSheet = later<KeptAddress>(() => import("./pages/kept/Page"));
const Cuts = later<KeptAddress>(() => import("./pages/cuts/Page"));
const Compare = later<CompareAddress>(() => import("./pages/compare/Page"));
const ImportPage = later<object>(() => import("./pages/import/Page"));
const BuildPage = later<BuildAddress>(() => import("./pages/build/Page"));
const ChangeBuildPage = later<BuildAddress>(() => import("./pages/changebuild/Page"));
const LabelPage = later<BuildAddress>(() => import("./pages/label/Page"));
const LogPage = later<{ project: number; build: number | null }>(() => import("./pages/log/Page"));
const NewBuildPage = later<{ account: number; project: number }>(() => import("./pages/newbuild/Page"));
const RebuildPage = later<BuildAddress>(() => import("./pages/rebuild/Page"));
const TagPage = later<{ tag: number }>(() => import("./pages/build/TagPage"));
const CheckOfLetter = later<LetterAt>(() => import("./pages/check/Page"));
const TestsPage = later<BuildAddress>(() => import("./pages/test/ListPage"));
const TestPage = later<TestAddress>(() => import("./pages/test/Page"));
const RunsPage = later<BuildAddress>(() => import("./pages/run/ListPage"));
const RunPage = later<RunAddress>(() => import("./pages/run/Page"));
const FilesPage = later<RunAddress>(() => import("./pages/series/FilesPage"));
const FilePage = later<FileAddress>(() => import("./pages/series/FilePage"));
const SentPage = later<SentAddress>(() => import("./pages/series/SentPage"));
const LoggersPage = later<BuildAddress>(() => import("./pages/loggers/Page"));
const CertificatePage = later<BuildAddress>(() => import("./pages/certificate/Page"));
const DesignSheet = later<DesignAddress>(() => import("./pages/sheet/Page"));

/** Pages says which page stands at which address; each one has its own. */
export function Pages({ account }: { account: number }) {
  useDelivery(account);
  return (
    <Switch>
      <Route path="/">
        <WaitingPage />
      </Route>
      <Route path="/projects">
        <ProjectsPage />
      </Route>
      <Route path="/projects/new">
        <NewProjectPage account={account} />
      </Route>
      <Route path="/projects/import">
        <ImportPage />
      </Route>
      <Route path="/projects/:project">{(p) => withId(p.project, (id) => <ProjectPage key={id} id={id} />)}</Route>
      <Route path="/projects/:project/change">
        {(p) => withId(p.project, (id) => <ChangeProjectPage key={id} account={account} id={id} />)}
      </Route>
      <Route path="/projects/:project/site">
        {(p) => withId(p.project, (id) => <SitePage key={id} account={account} project={id} />)}
      </Route>
      <Route path="/projects/:project/site/gaugings/new">
        {(p) => withId(p.project, (id) => <GaugingPage key={id} account={account} project={id} />)}
      </Route>
      <Route path="/projects/:project/designs/new">
        {(p) => withId(p.project, (id) => <NewDesignPage key={id} account={account} project={id} />)}
      </Route>
      <Route path="/projects/:project/designs/:design">
        {(p) =>
          withId(p.project, (project) =>
            withId(p.design, (design) => <DesignSheet key={`${project}/${design}`} project={project} design={design} />),
          )
        }
      </Route>
      <Route path="/projects/:project/builds/new">{(p) => withId(p.project, (project) => <NewBuildPage account={account} project={project} />)}</Route>
      <Route path="/projects/:project/builds/:build">{(p) => withBuild(p, (b) => <BuildPage key={b.build} {...b} />)}</Route>
      <Route path="/projects/:project/builds/:build/change">{(p) => withBuild(p, (b) => <ChangeBuildPage key={b.build} {...b} />)}</Route>
      <Route path="/projects/:project/builds/:build/rebuild">{(p) => withBuild(p, (b) => <RebuildPage key={b.build} {...b} />)}</Route>
      <Route path="/projects/:project/builds/:build/label">{(p) => withBuild(p, (b) => <LabelPage key={b.build} {...b} />)}</Route>
      <Route path="/projects/:project/builds/:build/tests">{(p) => withBuild(p, (b) => <TestsPage key={b.build} {...b} />)}</Route>
      <Route path="/projects/:project/builds/:build/tests/:test">
        {(p) => withBuild(p, (b) => withId(p.test, (test) => <TestPage key={`${b.build}/${test}`} {...b} test={test} />))}
      </Route>
      <Route path="/projects/:project/builds/:build/runs">{(p) => withBuild(p, (b) => <RunsPage key={b.build} {...b} />)}</Route>
      <Route path="/projects/:project/builds/:build/runs/:run">
        {(p) => withBuild(p, (b) => withId(p.run, (run) => <RunPage key={`${b.build}/${run}`} {...b} run={run} />))}
      </Route>
      <Route path="/projects/:project/builds/:build/runs/:run/files">
        {(p) => withBuild(p, (b) => withId(p.run, (run) => <FilesPage key={`files-${b.build}/${run}`} {...b} run={run} />))}
      </Route>
      <Route path="/projects/:project/builds/:build/runs/:run/files/:file">
        {(p) => withBuild(p, (b) => withId(p.run, (run) => withId(p.file, (file) => <FilePage key={`${b.build}/${run}/${file}`} {...b} run={run} file={file} />)))}
      </Route>
      <Route path="/projects/:project/builds/:build/runs/:run/loggers/:logger">
        {(p) => withBuild(p, (b) => withId(p.run, (run) => withId(p.logger, (logger) => <SentPage key={`sent-${b.build}/${run}/${logger}`} {...b} run={run} logger={logger} />)))}
      </Route>
      <Route path="/projects/:project/builds/:build/loggers">{(p) => withBuild(p, (b) => <LoggersPage key={`loggers-${b.build}`} {...b} />)}</Route>
      <Route path="/projects/:project/builds/:build/certificate">{(p) => withBuild(p, (b) => <CertificatePage key={b.build} {...b} />)}</Route>
      <Route path="/projects/:project/builds/:build/log">{(p) => withBuild(p, (b) => <LogPage key={b.build} {...b} />)}</Route>
      <Route path="/projects/:project/log">{(p) => withId(p.project, (project) => <LogPage key={`log-${project}`} project={project} build={null} />)}</Route>
      <Route path="/builds/:tag">{(p) => withId(p.tag, (tag) => <TagPage key={tag} tag={tag} />)}</Route>
      <Route path="/projects/:project/designs/:design/check/:letter">
        {(p) =>
          withId(p.project, (project) =>
            withId(p.design, (design) =>
              /^[A-Z]{1,3}$/.test(p.letter) ? <CheckOfLetter key={`${design}/${p.letter}`} project={project} design={design} letter={p.letter} /> : <NotFound />,
            ),
          )
        }
      </Route>
      <Route path="/stream">
        <StreamPage />
      </Route>
      <Route path="/site">
        <SearchPage account={account} />
      </Route>
      <Route path="/reckoner">
        <ReckonerPage />
      </Route>
      <Route path="/reckoner/:family/:name">{(p) => <CalculationPage key={`${p.family}/${p.name}`} family={p.family} name={p.name} />}</Route>
      <Route path="/you">
        <YouPage />
      </Route>
      <Route path="/group">
        <GroupPage account={account} />
      </Route>
      <Route path="/group/instruments">
        <InstrumentsPage />
      </Route>
      <Route path="/group/instruments/new">
        <InstrumentForm key="new" account={account} instrument={null} />
      </Route>
      <Route path="/group/instruments/:instrument">
        {(p) => withId(p.instrument, (id) => <InstrumentPage key={id} account={account} instrument={id} />)}
      </Route>
      <Route path="/group/instruments/:instrument/change">
        {(p) => withId(p.instrument, (id) => <InstrumentForm key={id} account={account} instrument={id} />)}
      </Route>
      <Route path="/group/safety">
        <SafetyPage />
      </Route>
      <Route path="/group/safety/propose">
        <ProposeSafety account={account} />
      </Route>
      <Route path="/group/procedure">
        <ProcedurePage />
      </Route>
      <Route path="/group/procedure/propose">
        <ProposeProcedure account={account} />
      </Route>
      <Route path="/group/procedure/:version">{(p) => withId(p.version, (version) => <ProcedureVersion key={version} version={version} />)}</Route>
      <Route path="/group/record">
        <RecordPage />
      </Route>
      <Route path="/evidence">
        <EvidencePage />
      </Route>
      <Route path="/evidence/sets">
        <SetsPage account={account} />
      </Route>
      <Route path="/evidence/sets/:number">{(p) => withId(p.number, (number) => <SetPage key={number} number={number} />)}</Route>
      <Route path="/stock">
        <StockPage />
      </Route>
      <Route path="/stock/new">
        <StockItemPage key="new" account={account} item={null} />
      </Route>
      <Route path="/stock/:item">{(p) => withId(p.item, (item) => <StockItemPage key={item} account={account} item={item} />)}</Route>
      <Route path="/projects/:project/designs/:design/:sheet/parts">
        {(p) => withId(p.project, (project) => withRef(`${p.design}.${p.sheet}`, (sheet) => <Cuts project={project} sheet={sheet} />))}
      </Route>
      <Route path="/projects/:project/designs/:design/:sheet">
        {(p) => withId(p.project, (project) => withRef(`${p.design}.${p.sheet}`, (sheet) => <KeptSheet project={project} sheet={sheet} />))}
      </Route>
      <Route path="/projects/:project/compare/:left/:right">
        {(p) => withId(p.project, (project) => withRef(p.left, (left) => withRef(p.right, (right) => <Compare project={project} left={left} right={right} />)))}
      </Route>
      <Route>
        <NotFound />
      </Route>
    </Switch>
  );
}

/** withId reads an id of an address; what can't be one has no page. */
function withId(text: string, page: (id: number) => JSX.Element): JSX.Element {
  return /^[1-9]\d{0,14}$/.test(text) ? page(Number(text)) : <NotFound />;
}

/** withBuild reads the two ids of a machine. */
function withBuild(at: { project: string; build: string }, page: (b: BuildAddress) => JSX.Element): JSX.Element {
  return withId(at.project, (project) => withId(at.build, (build) => page({ project, build })));
}

/** withRef reads a sheet of an address, such as 2.A.3. */
function withRef(text: string, page: (ref: Ref) => JSX.Element): JSX.Element {
  const ref = refOf(text);
  return ref ? page(ref) : <NotFound />;
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
      <PageFrame title={failed ? "This page could not be fetched" : "Fetching the page"}>
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

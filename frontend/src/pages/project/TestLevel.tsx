import { Link } from "wouter-preact";
import { api, ask, type Answer, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { Stamp } from "../../parts/Stamp/Stamp";
import { Waiting } from "../../parts/Trouble/Waiting";
import { day } from "../../words";
import { certificatePath, fetchCertificates, fetchTests, testPath, testsPath } from "../test/fetch";
import { Level } from "./Fall";

type BuildHead = Schema<"BuildHead">;

interface Tested {
  build: BuildHead;
  tests: Schema<"TestList">;
  certificates: Schema<"Certificates">;
}

/** Of so many machines the level says how their tests stand. */
const shown = 5;

async function fetchTested(project: number): Promise<Answer<Tested[]>> {
  const builds = await ask(api.GET("/api/v1/projects/{project}/builds", { params: { path: { project } } }));
  if (!builds.ok) {
    return builds;
  }
  const all: Tested[] = [];
  for (const build of builds.data.items.filter((b) => b.state !== "scrapped").slice(0, shown)) {
    const at = { project, build: build.id };
    const [tests, certificates] = await Promise.all([fetchTests(at), fetchCertificates(at)]);
    if (!tests.ok) {
      return tests;
    }
    if (!certificates.ok) {
      return certificates;
    }
    all.push({ build, tests: tests.data, certificates: certificates.data });
  }
  return { ...builds, data: all };
}

/** TestLevel says of each machine how its pressure test stands, and whether its certificate holds. */
export function TestLevel({ project: p }: { project: Schema<"Project"> }) {
  const { loaded, again } = useLoad<Tested[]>(() => fetchTested(p.id), [p.id]);
  const all = loaded.state === "here" ? loaded.data : [];
  return (
    <Level name="Test" reached={all.some((t) => t.tests.items.length > 0)}>
      {loaded.state !== "here" ? (
        <Waiting loaded={loaded} again={again} />
      ) : all.length === 0 ? (
        <p>Here the pressure test is led step by step, and signed. It needs a machine that is built.</p>
      ) : (
        <>
          <ul class="designs">
            {all.map((t) => (
              <TestLine key={t.build.id} project={p.id} {...t} />
            ))}
          </ul>
          {all.length === shown ? <p class="small quiet">These are the {shown} newest machines; how older ones stand, their own pages say.</p> : null}
        </>
      )}
      <p class="warn caution">
        <b>Gas in plastic.</b> Air stored under pressure throws pieces when a pipe or joint lets go. Nothing on this page clears a machine for pressure; licensed practice and local codes do.
      </p>
    </Level>
  );
}

function TestLine({ project, build, tests, certificates }: Tested & { project: number }) {
  const at = { project, build: build.id };
  const { words, href, first } = nextOf(at, tests, certificates);
  const c = certificates.certificate;
  return (
    <li>
      <p>
        <b>
          No. {build.tag}, {build.title}
        </b>{" "}
        {c ? <Stamp word={c.valid ? "certificate valid" : "certificate lapsed"} danger={!c.valid} /> : null}
      </p>
      <p>{sayTests(tests, certificates)}</p>
      <Link class={first ? "do" : "do second"} href={href} aria-label={`${words}: No. ${build.tag}, ${build.title}`}>
        {words}
      </Link>
    </li>
  );
}

/** sayTests says in one sentence how a machine stands with its test. */
export function sayTests({ items }: Schema<"TestList">, { certificate: c, ready }: Schema<"Certificates">): string {
  const newest = items[0];
  if (c?.valid) {
    return `Its certificate counts until the end of ${day(`${c.expires_on}T12:00:00Z`)}.`;
  }
  if (ready) {
    return `Test sheet ${ready.test} was passed. A steward who neither built it nor signed as second may issue the certificate.`;
  }
  if (newest && newest.ended === null && newest.over === "") {
    return `Test sheet ${newest.number} is under way.`;
  }
  const lapsed = c?.reasons[0] ? ` ${c.reasons[0].text}` : "";
  if (newest?.ended === "failed") {
    return `Test sheet ${newest.number} failed${newest.nonconformance?.closed ? ", and what failed is closed" : ""}.${lapsed} It must not be under pressure.`;
  }
  return `${newest ? "No test counts for the machine as it stands." : "It was not tested yet."}${lapsed} It must not be under pressure.`;
}

interface Next {
  words: string;
  href: string;
  /** It is for this reader to do. */
  first: boolean;
}

/** nextOf is the one thing to do next about the test of a machine. */
export function nextOf(at: { project: number; build: number }, tests: Schema<"TestList">, certificates: Schema<"Certificates">): Next {
  const newest = tests.items[0];
  if (newest && newest.ended === null && newest.over === "") {
    return { words: `Go on with test sheet ${newest.number}`, href: testPath({ ...at, test: newest.number }), first: true };
  }
  if (certificates.ready) {
    const may = certificates.allowed_actions.includes("issue_certificate");
    return { words: may ? "Issue the certificate" : "The certificate", href: certificatePath(at), first: may };
  }
  if (certificates.certificate?.valid) {
    return { words: "The certificate", href: certificatePath(at), first: false };
  }
  const may = tests.allowed_actions.includes("start_test") && tests.refused === "";
  return { words: may ? "Begin a test" : "What a test takes", href: testsPath(at), first: may };
}

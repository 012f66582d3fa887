import { useState } from "preact/hooks";
import { Link } from "wouter-preact";
import type { Answer, Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import type { Trouble } from "../../api/problem";
import { useSession } from "../../api/session";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Stamp } from "../../parts/Stamp/Stamp";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { Waiting } from "../../parts/Trouble/Waiting";
import { day } from "../../words";
import { fetchBuild } from "../build/fetch";
import { fetchCertificates, testPath, testsPath, trailOf, type OfBuild } from "../test/fetch";
import { Body } from "./Body";
import { Issue, Revoke } from "./Issue";
import "./page.css";

type Certificates = Schema<"Certificates">;

interface Both {
  build: Schema<"Build">;
  certificates: Certificates;
}

async function fetchBoth(at: OfBuild): Promise<Answer<Both>> {
  const [build, certificates] = await Promise.all([fetchBuild(at), fetchCertificates(at)]);
  return !build.ok ? build : certificates.ok ? { ...certificates, data: { build: build.data, certificates: certificates.data } } : certificates;
}

/** CertificatePage shows what a passed test of a machine is good for, and whether it still is. */
export default function CertificatePage(at: OfBuild) {
  const { loaded, again } = useLoad<Both>(() => fetchBoth(at), [at.project, at.build]);
  const [changed, setChanged] = useState<Certificates | null>(null);
  const here = loaded.state === "here" ? loaded.data : null;
  const certificates = changed ?? here?.certificates ?? null;
  const newest = certificates?.certificate ?? null;
  const machine = here ? `No. ${here.build.tag}, ${here.build.title}` : "Machine";
  return (
    <PageFrame
      title={here ? `Certificate, ${machine}` : "Certificate"}
      trail={trailOf(at, machine)}
      key={here ? "here" : "waiting"}
      {...(newest ? { aside: <Stamp word={newest.valid ? "valid" : "lapsed"} danger={!newest.valid} /> } : {})}
    >
      {certificates && here ? <Whole at={at} build={here.build} of={certificates} changed={setChanged} /> : <Waiting loaded={loaded} again={again} />}
    </PageFrame>
  );
}

function Whole({ at, build, of: c, changed }: { at: OfBuild; build: Schema<"Build">; of: Certificates; changed: (c: Certificates) => void }) {
  const session = useSession();
  const member = "member" in session ? session.member : null;
  const may = (action: "issue_certificate" | "revoke_certificate") => c.allowed_actions.includes(action);
  return (
    <div class="certificate-page">
      {c.ready ? (
        <section class="off-paper issue" aria-labelledby="issue-title">
          <h2 id="issue-title">A passed test waits for its certificate</h2>
          <p>
            <Link href={testPath({ ...at, test: c.ready.test })}>Test sheet {c.ready.test}</Link> was passed for the machine as it stands.
          </p>
          {may("issue_certificate") && member ? (
            <Issue at={at} member={member} test={c.ready.test} latest={c.ready.latest} issued={changed} />
          ) : (
            <p>{c.lacking || "A steward issues it, with the password, who neither built the machine nor signed the test as second."}</p>
          )}
        </section>
      ) : null}
      {c.certificate ? (
        <>
          <Body at={at} build={build} certificate={c.certificate} />
          <p class="off-paper">
            <button type="button" class="second" onClick={() => print()}>
              Print the certificate
            </button>
          </p>
        </>
      ) : c.ready ? null : (
        <p>
          No certificate was issued for this machine yet: it must not be under pressure. <Link href={testsPath(at)}>Begin a test sheet</Link>, pass it, and let a steward issue one.
        </p>
      )}
      {c.certificate && may("revoke_certificate") && member ? <Revoke key={c.certificate.id} at={at} member={member} revoked={changed} /> : null}
      <Earlier at={at} of={c} />
    </div>
  );
}

/** Earlier lists the certificates before the newest one, each with why it does not count. */
function Earlier({ at, of: c }: { at: OfBuild; of: Certificates }) {
  const [more, setMore] = useState<Certificates[]>([]);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const items = [...c.items, ...more.flatMap((m) => m.items)].filter((i) => i.id !== c.certificate?.id);
  const next = (more.at(-1) ?? c).next;
  if (items.length === 0) {
    return null;
  }
  const fetchMore = async (before: number) => {
    const a = await fetchCertificates(at, before);
    setTrouble(a.ok ? null : a.trouble);
    if (a.ok) {
      setMore([...more, a.data]);
    }
  };
  return (
    <section class="off-paper" aria-labelledby="earlier-title">
      <h2 id="earlier-title">Earlier ones</h2>
      <ul>
        {items.map((i) => (
          <li key={i.id}>
            No. {i.id}, issued {day(i.issued_at)} by {i.issued_by.name} on <Link href={testPath({ ...at, test: i.test })}>test sheet {i.test}</Link>. {i.reasons.map((r) => r.text).join(" ")}
          </li>
        ))}
      </ul>
      {next === null ? null : (
        <button type="button" class="second" onClick={() => void fetchMore(next)}>
          Older ones
        </button>
      )}
      {trouble ? <TroubleNote trouble={trouble} /> : null}
    </section>
  );
}

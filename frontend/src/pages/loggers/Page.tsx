import { useState } from "preact/hooks";
import { Link } from "wouter-preact";
import { api, ask, type Answer, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import type { Trouble } from "../../api/problem";
import { useSession } from "../../api/session";
import { useForm } from "../../forms/form";
import { Dialog } from "../../parts/Dialog/Dialog";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { Waiting } from "../../parts/Trouble/Waiting";
import { when } from "../../words";
import { fetchBuild, type Build, type BuildAddress } from "../build/fetch";
import { tagName } from "../build/states";
import { size } from "../log/Pictures";
import { runsPath } from "../run/fetch";
import { trailOf } from "../test/fetch";
import { exampleOf } from "./example";
import "./page.css";

type Logger = Schema<"SendingLogger">;
type Loggers = Schema<"Loggers">;

interface Both {
  build: Build;
  loggers: Loggers;
}

const fetchLoggers = ({ project, build }: BuildAddress, before?: number): Promise<Answer<Loggers>> =>
  ask(api.GET("/api/v1/projects/{project}/builds/{build}/loggers", { params: { path: { project, build }, ...(before === undefined ? {} : { query: { before } }) } }));

async function fetchBoth(at: BuildAddress): Promise<Answer<Both>> {
  const [build, loggers] = await Promise.all([fetchBuild(at), fetchLoggers(at)]);
  return !build.ok ? build : loggers.ok ? { ...loggers, data: { build: build.data, loggers: loggers.data } } : loggers;
}

/** LoggersPage lists the loggers that may send samples of a machine, and makes and revokes them. */
export default function LoggersPage(at: BuildAddress) {
  const { loaded, again } = useLoad<Both>(() => fetchBoth(at), [at.project, at.build]);
  const here = loaded.state === "here" ? loaded.data : null;
  return (
    <PageFrame title="Loggers" trail={trailOf(at, here ? `${tagName(here.build.tag)}, ${here.build.title}` : undefined)} key={here ? "here" : "waiting"}>
      {here ? <Shown at={at} start={here.loggers} /> : <Waiting loaded={loaded} again={again} />}
    </PageFrame>
  );
}

function Shown({ at, start }: { at: BuildAddress; start: Loggers }) {
  const session = useSession();
  const account = "member" in session ? session.member.id : 0;
  const [items, setItems] = useState(start.items);
  const [next, setNext] = useState(start.next);
  const [made, setMade] = useState<Schema<"MadeLogger"> | null>(null);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const put = (l: Logger) => setItems((all) => (all.some((x) => x.id === l.id) ? all.map((x) => (x.id === l.id ? l : x)) : [l, ...all]));
  const older = async (before: number) => {
    const a = await fetchLoggers(at, before);
    setTrouble(a.ok ? null : a.trouble);
    if (a.ok) {
      setItems([...items, ...a.data.items]);
      setNext(a.data.next);
    }
  };
  return (
    <div class="loggers">
      <p>
        A logger is a device that sends what its sensors read by itself. With its token it may send samples of this one machine, which go to the newest open run. It may see nothing, change nothing, and send to no other machine; whoever finds the token can send wrong samples here, and nothing else.
      </p>
      {made ? <Token made={made} /> : null}
      {items.length === 0 ? <p>No logger was made for this machine yet.</p> : null}
      <ul class="designs logger-list">
        {items.map((l) => (
          <Line key={l.id} at={at} logger={l} changed={put} />
        ))}
      </ul>
      {next === null ? null : (
        <button type="button" class="second" onClick={() => void older(next)}>
          Older ones
        </button>
      )}
      {trouble ? <TroubleNote trouble={trouble} /> : null}
      {start.allowed_actions.includes("make_logger") ? (
        <Make
          account={account}
          at={at}
          made={(l) => {
            setMade(l);
            put(l);
          }}
        />
      ) : null}
      <p>
        A logger without a network? <Link href={runsPath(at)}>Its file is brought to a run</Link> instead.
      </p>
    </div>
  );
}

/** Token shows the token of a logger this once, with the request that it is for. */
function Token({ made }: { made: Schema<"MadeLogger"> }) {
  const [copied, setCopied] = useState("");
  const [now] = useState(() => new Date());
  if (made.token === null) {
    return (
      <p class="warn" role="alert">
        <b>{made.name} was made before,</b> and its token was shown then. If nobody has it, revoke this logger and make another one.
      </p>
    );
  }
  const token = made.token;
  const copy = async (text: string, says: string) => {
    try {
      await navigator.clipboard.writeText(text);
      setCopied(says);
    } catch {
      setCopied("This browser does not copy by itself: mark the text, and copy it by hand.");
    }
  };
  return (
    <section class="sheet token" aria-labelledby="token-title">
      <h2 id="token-title">The token of {made.name}</h2>
      <p class="warn">
        <b>It is shown this once.</b> Copy it into the device now. Lost? Revoke this logger and make another one.
      </p>
      <p>
        <code class="secret">{token}</code>
      </p>
      <div class="row">
        <button type="button" onClick={() => void copy(token, "The token is copied.")}>
          Copy the token
        </button>
        <button type="button" class="second" onClick={() => void copy(exampleOf(location.host, token, now), "The request is copied.")}>
          Copy the request
        </button>
        <span role="status">{copied}</span>
      </div>
      <h3>The one request that it needs</h3>
      <pre class="request" tabIndex={0} aria-label="The request, as it goes over the line">
        {exampleOf(location.host, token, now)}
      </pre>
      <ul>
        <li>Each batch has a client_key of its own. Sent again with the same one, it is kept once: so send it again until the answer is 200 or 201.</li>
        <li>Times have their zone. A value that is missing is null. Units are as in a file; capitals count.</li>
        <li>At most 30 batches a minute, 5000 samples and 256 KiB each. What is odd is kept, and said in the answer.</li>
      </ul>
    </section>
  );
}

function Line({ at, logger: l, changed }: { at: BuildAddress; logger: Logger; changed: (l: Logger) => void }) {
  const [asking, setAsking] = useState(false);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const revoke = async () => {
    const a = await ask(api.POST("/api/v1/projects/{project}/builds/{build}/loggers/{logger}/revoke", { params: { path: { project: at.project, build: at.build, logger: l.id } } }));
    setTrouble(a.ok ? null : a.trouble);
    if (a.ok) {
      setAsking(false);
      changed(a.data);
    }
  };
  return (
    <li class={l.revoked_at === null ? "" : "revoked"}>
      <p>
        <b>{l.name}</b> <span class="quiet">{l.revoked_at === null ? "may send" : "may send no more"}</span>
      </p>
      <p class="small quiet">
        Made by {l.made_by.name}, {when(l.made_at)}. {l.heard_at === null ? "It sent nothing yet." : `Heard last ${when(l.heard_at)}; ${size(l.bytes)} in all.`}
        {l.revoked_at === null ? "" : ` Revoked by ${l.revoked_by?.name ?? "somebody"}, ${when(l.revoked_at)}.`}
      </p>
      {l.allowed_actions.includes("revoke_logger") ? (
        <button type="button" class="second" aria-label={`Revoke ${l.name}`} onClick={() => setAsking(true)}>
          Revoke …
        </button>
      ) : null}
      {asking ? (
        <Dialog title={`Revoke ${l.name}?`} closeWord="Leave it" onClose={() => setAsking(false)}>
          <div class="stack">
            <p>Its token is good for nothing from then on. What it sent stays. It can’t be allowed again: make another one.</p>
            {trouble ? <TroubleNote trouble={trouble} /> : null}
            <button type="button" onClick={() => void revoke()}>
              Revoke it for good
            </button>
          </div>
        </Dialog>
      ) : null}
    </li>
  );
}

function Make({ account, at, made }: { account: number; at: BuildAddress; made: (l: Schema<"MadeLogger">) => void }) {
  const [start] = useState({ name: "" });
  const form = useForm({
    id: `logger-${at.build}`,
    account,
    start,
    fieldOf: (pointer) => (pointer === "/name" ? "logger-name" : undefined),
    send: async ({ name }, { key }) => {
      const { project, build } = at;
      const a = await ask(api.POST("/api/v1/projects/{project}/builds/{build}/loggers", { params: { path: { project, build } }, body: { name: name.trim(), client_key: key } }));
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      made(a.data);
      form.startOver();
      return { done: true };
    },
  });
  return (
    <form class="stack make-logger" noValidate onSubmit={form.submit} aria-labelledby="make-title">
      <h2 id="make-title">Make a logger</h2>
      <FormSummary form={form} />
      <TextField name="logger-name" label="What you call it" hint="So that the others know which device it is." text={form.texts.name} onText={(t) => form.set("name", t)} fault={form.failure?.entries.find((e) => e.field === "logger-name")?.message} />
      <button type="submit" aria-disabled={form.busy}>
        Make it
      </button>
    </form>
  );
}

import { useState } from "preact/hooks";
import { Link, useLocation } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import type { Trouble } from "../../api/problem";
import { Elevation } from "../../parts/Art/Elevation";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { Waiting } from "../../parts/Trouble/Waiting";
import { day } from "../../words";
import { crewMeans, sayAnswer } from "../project/asks";
import { awaits } from "./awaits";
import "./page.css";

type Ask = Schema<"Ask">;

/** WaitingPage is what waits for the member: crews that asked them, and whatever else needs just them. */
export function WaitingPage() {
  const [answers, setAnswers] = useState(0);
  const asks = useLoad<Schema<"AskList">>(() => ask(api.GET("/api/v1/asks")), [answers]);
  const awaited = useLoad<Schema<"AwaitedList">>(() => ask(api.GET("/api/v1/waiting")), []);
  if (asks.loaded.state !== "here" || awaited.loaded.state !== "here") {
    const late = asks.loaded.state !== "here" ? asks : awaited;
    return (
      <PageFrame title="Waiting on you" key="waiting">
        <Waiting loaded={late.loaded} again={late.again} />
      </PageFrame>
    );
  }
  const [asked, items] = [asks.loaded.data.items, awaited.loaded.data.items];
  return (
    <PageFrame title="Waiting on you" key="here">
      {asked.length + items.length === 0 ? <Nothing /> : null}
      {items.length > 0 ? (
        <ul class="waiting">
          {items.map((w, i) => (
            <AwaitedLine key={i} of={w} />
          ))}
        </ul>
      ) : null}
      {asked.length > 0 ? (
        <>
          <h2>Crews that ask you</h2>
          <p>{crewMeans}</p>
          <ul class="waiting">
            {asked.map((a) => (
              <AskLine key={a.id} of={a} answered={() => setAnswers((n) => n + 1)} />
            ))}
          </ul>
        </>
      ) : null}
    </PageFrame>
  );
}

/** AwaitedLine says what waits, since when, and leads there. */
function AwaitedLine({ of: w }: { of: Schema<"Awaited"> }) {
  const { what, go, to } = awaits(w);
  return (
    <li>
      <p>
        {what}{" "}
        <span class="quiet">
          {[w.project_title, w.by ? `from ${w.by.name}` : "", w.at ? day(w.at) : ""].filter(Boolean).join(" · ")}
        </span>
      </p>
      <Link href={to} class="do second">
        {go}
      </Link>
    </li>
  );
}

function Nothing() {
  return (
    <div class="stack">
      <p>Nothing waits for you. A crew that asks you to join, a design to check, a signature or an answer that only you can give: they stand here.</p>
      <Elevation thin />
      <p>What can your site give? Say how much water falls and how far, and see the machines that would do most with it.</p>
      <div class="row">
        <Link href="/site" class="do">
          What can my site give?
        </Link>
        <Link href="/projects/new" class="do second">
          Start a project
        </Link>
        <Link href="/stream" class="do second">
          At the stream
        </Link>
        <Link href="/projects" class="do second">
          All projects
        </Link>
      </div>
    </div>
  );
}

function AskLine({ of: a, answered }: { of: Ask; answered: () => void }) {
  const [, go] = useLocation();
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const answer = async (yes: boolean) => {
    const done = await sayAnswer(a, yes);
    if (!done.ok) {
      setTrouble(done.trouble);
    } else if (yes) {
      go(`/projects/${a.project}`);
    } else {
      answered();
    }
  };
  return (
    <li>
      <p>
        {a.asked_by.name} asks you to join the crew of <Link href={`/projects/${a.project}`}>{a.title}</Link>.{" "}
        <span class="quiet">Asked {day(a.asked_at)}.</span>
      </p>
      {trouble ? <TroubleNote trouble={trouble} again={answered} /> : null}
      <div class="row">
        <button type="button" aria-label={`Join the crew of ${a.title}`} onClick={() => void answer(true)}>
          Join the crew
        </button>
        <button type="button" class="second" aria-label={`Say no to ${a.title}`} onClick={() => void answer(false)}>
          Say no
        </button>
      </div>
    </li>
  );
}

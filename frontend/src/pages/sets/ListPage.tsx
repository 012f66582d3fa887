import { useState } from "preact/hooks";
import { Link } from "wouter-preact";
import { useLoad } from "../../api/load";
import type { Trouble } from "../../api/problem";
import { draftForms } from "../../forms/drafts";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Stamp } from "../../parts/Stamp/Stamp";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { Waiting } from "../../parts/Trouble/Waiting";
import { day } from "../../words";
import { fetchSets, setPath, type SetHead, type SetList } from "./fetch";
import { Propose } from "./Propose";
import { sayRuns, stateOf } from "./words";
import "../project/page.css";
import "./page.css";

/** SetsPage lists the proposed sets of coefficients with what became of them, and takes another proposal. */
export default function SetsPage({ account }: { account: number }) {
  const { loaded, again } = useLoad<SetList>(() => fetchSets(), []);
  return (
    <PageFrame title="Sets of coefficients" trail={[{ href: "/evidence", name: "Evidence" }]}>
      <p>
        Some numbers in the model stand on no drawing: how fast the water drags the air along, what an intake loses, how large bubbles grow. Set 0 has them from handbooks and judgement, each with its uncertainty. What the group measures tells more: a member proposes a
        set that is learned from all runs which count, and a steward who is another adopts it. New predictions use it; old ones stay as they were made.
      </p>
      {loaded.state !== "here" ? <Waiting loaded={loaded} again={again} /> : <Sets list={loaded.data} account={account} />}
    </PageFrame>
  );
}

function Sets({ list, account }: { list: SetList; account: number }) {
  const [more, setMore] = useState<SetList[]>([]);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const items = [...list.items, ...more.flatMap((m) => m.items)];
  const next = (more.at(-1) ?? list).next;
  const [proposing, setProposing] = useState(() => draftForms(account).includes("set-propose"));
  const working = items.find((p) => p.state === "working");
  const older = async (before: number) => {
    const a = await fetchSets(before);
    setTrouble(a.ok ? null : a.trouble);
    if (a.ok) {
      setMore([...more, a.data]);
    }
  };
  return (
    <>
      <p>
        <b>Predictions are made with set {list.coefficient_set} now.</b> {list.coefficient_set === "0" ? "The group has adopted none of its own that is in force." : ""}
      </p>
      <h2>Proposed</h2>
      {items.length === 0 ? <p>Nobody has proposed a set yet. It takes confirmed runs: with three machines of two crews, each with somebody who is not on the other, one can be adopted at the earliest.</p> : null}
      <ul class="designs">
        {items.map((p) => (
          <SetLine key={p.number} of={p} />
        ))}
      </ul>
      {next === null ? null : (
        <button type="button" class="second" onClick={() => void older(next)}>
          Older ones
        </button>
      )}
      {trouble ? <TroubleNote trouble={trouble} /> : null}
      {list.allowed_actions.includes("propose_set") ? (
        <section class="set-propose off-paper" aria-labelledby="propose-title">
          <h2 id="propose-title">Propose another</h2>
          {working ? (
            <p>
              <Link href={setPath(working.number)}>Proposal {working.number}</Link> is being worked out. One at a time: wait for its answer.
            </p>
          ) : proposing ? (
            <Propose account={account} />
          ) : (
            <button type="button" onClick={() => setProposing(true)}>
              Propose a set
            </button>
          )}
        </section>
      ) : null}
    </>
  );
}

function SetLine({ of: p }: { of: SetHead }) {
  return (
    <li>
      <Link class="open" href={setPath(p.number)}>
        <b>Proposal {p.number}</b> <Stamp {...stateOf(p)} />
      </Link>
      <p class="why">{p.why}</p>
      <p class="quiet">
        By {p.by.name}, {day(p.at)}, from {sayRuns(p)}.{p.adoption ? ` Adopted as set ${p.adoption.set} by ${p.adoption.by.name}, ${day(p.adoption.at)}.` : ""}
        {p.evidence_changed ? " One of its runs was set aside since." : ""}
      </p>
    </li>
  );
}

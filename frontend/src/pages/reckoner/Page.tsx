import { Link, useLocation, useSearch } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { Field } from "../../parts/Field/Field";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";
import { find, type Head } from "./find";
import { sentence } from "./form";
import "./page.css";

/** ReckonerPage lists every calculation that can be asked alone. */
export default function ReckonerPage() {
  const { loaded, again } = useLoad<Schema<"CalcList">>(() => ask(api.GET("/api/v1/calc")), []);
  return (
    <PageFrame title="Ready reckoner">
      <p>One question, one answer: with its equation, where it comes from, and how far it can be trusted. Nothing is kept.</p>
      {loaded.state === "here" ? <Finder list={loaded.data} /> : <Waiting loaded={loaded} again={again} />}
    </PageFrame>
  );
}

function Finder({ list }: { list: Schema<"CalcList"> }) {
  const [, go] = useLocation();
  const q = new URLSearchParams(useSearch()).get("q") ?? "";
  const look = (text: string) => go(text ? `/reckoner?${new URLSearchParams({ q: text }).toString()}` : "/reckoner", { replace: true });
  const found = find(list.items, q);
  return (
    <>
      <search class="off-paper">
        <Field name="q" label="Look for" hint="A word of the trade, such as weir, hammer or bubbler, or a symbol, such as η." note={q ? counted(found.length) : null}>
          {(control) => <input {...control} type="search" autocomplete="off" value={q} onInput={(e) => look(e.currentTarget.value)} />}
        </Field>
      </search>
      {found.length === 0 ? <Nothing again={() => look("")} /> : null}
      {list.subjects.map((s) => (
        <Subject key={s} name={s} heads={found.filter((c) => c.subject === s)} />
      ))}
    </>
  );
}

const counted = (n: number) => (n === 1 ? "One calculation." : `${n === 0 ? "No" : n} calculations.`);

function Nothing({ again }: { again: () => void }) {
  return (
    <div class="stack">
      <p>No calculation goes by these words. Try one word of what you have or want: pipe, ram, tank, notch, leak.</p>
      <div>
        <button type="button" class="second" onClick={again}>
          Show all
        </button>
      </div>
    </div>
  );
}

function Subject({ name, heads }: { name: string; heads: Head[] }) {
  return heads.length === 0 ? null : (
    <section class="subject">
      <h2>{name}</h2>
      <ul>
        {heads.map((c) => (
          <li key={c.name}>
            <Link href={c.name === "trompe" ? "/site" : `/reckoner/${c.name}`}>{sentence(c.answers)}</Link>
            <p class="small quiet">{c.name === "trompe" ? "A whole machine is asked about on a page of its own: begin with what your site gives." : c.words.join(", ")}</p>
          </li>
        ))}
      </ul>
    </section>
  );
}

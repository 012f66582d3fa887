import { Link } from "wouter-preact";
import { Ledger } from "../../parts/Ledger/Ledger";
import { day, listed } from "../../words";
import { tagName } from "../build/states";
import { outcomeWord } from "../run/says";
import { pathOf, titleOf, type Standing } from "./words";

interface RunsProps {
  id: string;
  title: string;
  about: string;
  list: Standing[];
  /** How many quantities there are on the page. */
  quantities: number;
}

/** Runs lists runs with how they count. */
export function Runs({ id, title, about, list, quantities }: RunsProps) {
  return (
    <section aria-labelledby={id}>
      <h3 id={id}>
        {title}: {list.length === 0 ? "none" : list.length}
      </h3>
      {list.length > 0 ? <p>{about}</p> : null}
      {list.length > 0 ? (
        <Ledger>
          <table>
            <thead>
              <tr>
                <th scope="col">Run</th>
                <th scope="col">Signed</th>
                <th scope="col">Predicted with</th>
                <th scope="col">Verdict</th>
                <th scope="col">{id === "counted" ? "Counts for" : "Why not"}</th>
              </tr>
            </thead>
            <tbody>
              {list.map((s) => (
                <RunRow key={`${s.run.build}-${s.run.number}`} of={s} quantities={quantities} />
              ))}
            </tbody>
          </table>
        </Ledger>
      ) : null}
    </section>
  );
}

function RunRow({ of: { run: r, of, why }, quantities }: { of: Standing; quantities: number }) {
  return (
    <tr>
      <th scope="row">
        <Link href={pathOf(r)}>
          {tagName(r.tag)} {r.machine}, run {r.number}
        </Link>
        <span class="small">{r.title}</span>
      </th>
      <td data-of="Signed">{day(r.at)}</td>
      <td data-of="Predicted with">
        set {r.coefficient_set}, calculation {r.calc_version}
      </td>
      <td data-of="Verdict">{r.outcome ? outcomeWord(r.outcome) : "none"}</td>
      <td data-of={of.length > 0 ? "Counts for" : "Why not"}>{of.length > 1 && of.length === quantities ? `all ${quantities} quantities` : of.length > 0 ? listed(of.map((q) => titleOf(q).toLowerCase())) : why.join(" ")}</td>
    </tr>
  );
}

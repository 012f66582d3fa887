import type { Compared } from "./answers";
import type { InputPair } from "./inputs";
import type { Side } from "./Page";

interface Names {
  left: string;
  right: string;
}

/** InputTable shows inputs of two sheets, part by part. */
export function InputTable({ caption, pairs, left, right }: Names & { caption: string; pairs: InputPair[] }) {
  return (
    <table>
      <caption class="unseen">{caption}</caption>
      <Heads left={left} right={right} />
      <tbody>
        {pairs.map((p) => (
          <tr key={p.at}>
            <th scope="row">
              <span class="quiet">{p.part}:</span> {p.words}
            </th>
            <td data-of={left}>{p.left || "left open"}</td>
            <td data-of={right}>{p.right || "left open"}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

/** AnswerTable shows answers of two sheets with their difference. */
export function AnswerTable({ rows, left, right }: Names & { rows: Compared[] }) {
  if (rows.length === 0) {
    return <p>Neither has an operating point, so there are no numbers to compare.</p>;
  }
  return (
    <table>
      <caption class="unseen">Answers and their difference</caption>
      <Heads left={left} right={right} last="Difference" />
      <tbody>
        {rows.map((r) => (
          <tr key={r.words}>
            <th scope="row">{r.words}</th>
            <td data-of={left}>{r.left}</td>
            <td data-of={right}>{r.right}</td>
            <td data-of="Difference">
              <b>{r.difference || "can’t be told"}</b>
              {r.within ? <span class="small quiet"> within the interval</span> : null}
            </td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function Heads({ left, right, last }: Names & { last?: string }) {
  return (
    <thead>
      <tr>
        <th scope="col">What</th>
        <th scope="col">{left}</th>
        <th scope="col">{right}</th>
        {last ? <th scope="col">{last}</th> : null}
      </tr>
    </thead>
  );
}

/** WarningsApart lists what only one of the two is warned of. */
export function WarningsApart({ left, right }: { left: Side; right: Side }) {
  const only = (a: Side, b: Side) => {
    const codes = new Set(b.sheet.report.trompe?.warnings.map((w) => w.code));
    return a.sheet.report.trompe?.warnings.filter((w) => !codes.has(w.code)) ?? [];
  };
  return (
    <>
      {[{ side: left, list: only(left, right) }, { side: right, list: only(right, left) }]
        .filter(({ list }) => list.length > 0)
        .map(({ side, list }) => (
          <div key={side.name}>
            <h3>Only {side.name} is warned of</h3>
            <ul>
              {list.map((w) => (
                <li key={w.code}>{w.message}</li>
              ))}
            </ul>
          </div>
        ))}
    </>
  );
}

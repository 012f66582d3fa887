import { Ledger } from "../../parts/Ledger/Ledger";
import { capital } from "../../words";
import { percent } from "../evidence/words";
import type { Lesson } from "./fetch";
import { besides, checkTitles, inside, sayMoved, score, spread, weightWords } from "./words";

/** Learned is what the runs say: whether it may be adopted, the coefficients, and each machine predicted by the others. */
export function Learned({ lesson: l }: { lesson: Lesson }) {
  return (
    <>
      {besides(l).map((w) => (
        <p key={w}>{w}</p>
      ))}
      <section aria-labelledby="checks-title">
        <h2 id="checks-title">What must hold</h2>
        <Ledger>
          <table>
            <thead>
              <tr>
                <th scope="col">Condition</th>
                <th scope="col">Holds</th>
                <th scope="col">As found</th>
              </tr>
            </thead>
            <tbody>
              {l.checks.map((c) => (
                <tr key={c.code}>
                  <th scope="row">{checkTitles[c.code]}</th>
                  <td data-of="Holds">{c.holds ? "yes" : <b>no</b>}</td>
                  <td data-of="As found">{c.words}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </Ledger>
      </section>
      {l.coefficients.length > 0 ? <Coefficients lesson={l} /> : null}
      {l.builds.length > 0 ? <Builds lesson={l} /> : null}
    </>
  );
}

function Coefficients({ lesson: l }: { lesson: Lesson }) {
  const told = l.coefficients.filter((c) => !c.not_informed);
  const untold = l.coefficients.filter((c) => c.not_informed);
  return (
    <section aria-labelledby="coefficients-title">
      <h2 id="coefficients-title">The coefficients</h2>
      <p>Each with its 95&#8239;% interval for a new machine. A set is always learned afresh from set 0 with all runs, never from the set before it.</p>
      {told.length > 0 ? (
        <Ledger>
          <table>
            <thead>
              <tr>
                <th scope="col">Coefficient</th>
                <th scope="col">In set 0</th>
                <th scope="col">As learned</th>
                <th scope="col">What the machines say</th>
              </tr>
            </thead>
            <tbody>
              {told.map((c) => (
                <tr key={c.name}>
                  <th scope="row">
                    {capital(c.about)} <span class="small quiet">{c.name}</span>
                  </th>
                  <td data-of="In set 0">{spread(c.before)}</td>
                  <td data-of="As learned">{spread(c.after)}</td>
                  <td data-of="What the machines say">{sayMoved(c)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </Ledger>
      ) : null}
      {untold.length > 0 ? (
        <>
          <h3>Those that the machines say next to nothing of</h3>
          <p>They stay next to as they are in set 0.</p>
          <ul class="untold">
            {untold.map((c) => (
              <li key={c.name}>
                {capital(c.about)} <span class="small quiet">{c.name}</span>: {spread(c.after)}
              </li>
            ))}
          </ul>
        </>
      ) : null}
    </section>
  );
}

function Builds({ lesson: l }: { lesson: Lesson }) {
  const left = l.builds.some((b) => b.crps_new !== null);
  return (
    <section class="of-machines" aria-labelledby="builds-title">
      <h2 id="builds-title">Each machine, predicted by the others</h2>
      <p>
        Each machine in turn is left out, a set is learned from the others, and predicts it. Score: CRPS over the predicted value, mean of its values; less is better. Weight: 1 for a machine like the others, less for one that is not, so that an odd one bends the set
        less.
      </p>
      {l.current === "0" ? null : <p>Set {l.current} was itself learned from machines of the group. Where it had seen the same machine before, its score flatters it.</p>}
      <Ledger>
        <table>
          <thead>
            <tr>
              <th scope="col">Machine</th>
              <th scope="col">Values</th>
              <th scope="col">Weight</th>
              <th scope="col">Score by the others</th>
              <th scope="col">Score by set {l.current}</th>
              <th scope="col">95&#8239;% by the others</th>
              <th scope="col">95&#8239;% by set {l.current}</th>
            </tr>
          </thead>
          <tbody>
            {l.builds.map((b) => (
              <tr key={b.name}>
                <th scope="row">{b.name}</th>
                <td data-of="Values">{b.values}</td>
                <td data-of="Weight">{weightWords(b)}</td>
                <td data-of="Score by the others">{score(b.crps_new)}</td>
                <td data-of={`Score by set ${l.current}`}>{score(b.crps_current)}</td>
                <td data-of="95 % by the others">{inside(b.inside_new)}</td>
                <td data-of={`95 % by set ${l.current}`}>{inside(b.inside_current)}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </Ledger>
      {left ? (
        <p>
          {l.inside} of {l.builds.filter((b) => b.inside_new !== null).length} machines lay within the 95&#8239;% that the others predicted for them, all their values: a share of {percent(l.lower)} to {percent(l.upper)}.
        </p>
      ) : null}
    </section>
  );
}

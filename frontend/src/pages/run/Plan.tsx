import { useState } from "preact/hooks";
import { Link } from "wouter-preact";
import { api, ask, type Answer, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { Ledger } from "../../parts/Ledger/Ledger";
import { Waiting } from "../../parts/Trouble/Waiting";
import { useUnits, type Units } from "../../system";
import type { Method, RunAddress } from "./fetch";
import { write, writeBetween, writeWidth } from "./measure";
import { sayChance } from "./verdict";
import { titleOf } from "./words";

type Planned = Schema<"RunPlan">["quantities"][number];

const fetchPlan = ({ project, build, run }: RunAddress): Promise<Answer<Schema<"RunPlan">>> =>
  ask(api.GET("/api/v1/projects/{project}/builds/{build}/runs/{run}/plan", { params: { path: { project, build, run } } }));

interface PlanProps {
  at: RunAddress;
  methods: Method[];
}

/** Plan says before anything is read which instrument could decide what, so that nobody measures, or buys, in vain. */
export function Plan({ at, methods }: PlanProps) {
  const [opened, setOpened] = useState(false);
  return (
    <details class="fold plan off-paper" onToggle={(e) => setOpened(opened || e.currentTarget.open)}>
      <summary>Which instrument could decide it?</summary>
      {opened ? <Chances at={at} methods={methods} /> : null}
    </details>
  );
}

function Chances({ at, methods }: PlanProps) {
  const units = useUnits();
  const { loaded, again } = useLoad(() => fetchPlan(at), [at.project, at.build, at.run]);
  if (loaded.state !== "here") {
    return <Waiting loaded={loaded} again={again} />;
  }
  const all = loaded.data.quantities;
  return (
    <>
      <p>
        How likely a reading with each instrument of the register ends in a verdict, met or missed, if the prediction is honest. As a rule an instrument is good enough whose standard uncertainty is a third of that of the prediction; one as uncertain as the prediction decides next to nothing. Where hardly a reading would end in “met”, what is decided is mostly a miss by chance.
      </p>
      {all.length === 0 ? <p>Nothing is predicted with an interval for this machine, so no instrument decides anything unless limits were declared.</p> : null}
      {all.map((q) => (
        <OfQuantity key={q.name} of={q} units={units} methods={methods.filter((w) => w.of?.includes(q.name))} />
      ))}
      <p>
        Not in the register? <Link href="/reckoner/evidence/p_decide">Reckon what an instrument could decide</Link> before it is bought.
      </p>
    </>
  );
}

/** bestFirst puts what may be used first, and of that what decides most often. */
export function bestFirst(list: Planned["instruments"]): Planned["instruments"] {
  return [...list].sort((a, b) => Number(a.unfit !== "") - Number(b.unfit !== "") || b.p_decided - a.p_decided);
}

function OfQuantity({ of: q, units, methods }: { of: Planned; units: Units; methods: Method[] }) {
  const besides = methods.filter((w) => (w.instrument ?? []).length === 0 || w.unit !== q.unit);
  const between = writeBetween(q, q.low, q.high, units);
  return (
    <section aria-label={titleOf(q)}>
      <h3>{titleOf(q)}</h3>
      <p class="small">
        Predicted {write(q, q.predicted, units)}, standard uncertainty {writeWidth(q, q.predicted, q.u_predicted, units)}
        {between ? `; promised ${between}` : ""}.
      </p>
      {q.instruments.length === 0 ? (
        <p>No instrument of the register shows this.</p>
      ) : (
        <Ledger>
          <table>
            <thead>
              <tr>
                <th scope="col">Instrument</th>
                <th scope="col">Standard uncertainty</th>
                <th scope="col">Decides</th>
                <th scope="col">Ends in “met”</th>
              </tr>
            </thead>
            <tbody>
              {bestFirst(q.instruments).map((i) => (
                <tr key={i.instrument}>
                  <th scope="row">
                    {i.name}
                    {i.unfit ? <span class="small unfit">{i.unfit}</span> : null}
                  </th>
                  <td data-of="Standard uncertainty">{writeWidth(q, q.predicted, i.u, units)}</td>
                  <td data-of="Decides">
                    <b>{sayChance(i.p_decided)}</b>
                  </td>
                  <td data-of="Ends in “met”">{sayChance(i.p_met)}</td>
                </tr>
              ))}
            </tbody>
          </table>
        </Ledger>
      )}
      {besides.length > 0 ? <p>It may be read with {besides.map((w) => w.about).join(", or ")}: what that decides hangs on figures that nobody knows before, such as how the repeats scatter.</p> : null}
    </section>
  );
}

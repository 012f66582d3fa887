import { useState } from "preact/hooks";
import { useLoad } from "../../api/load";
import type { Trouble } from "../../api/problem";
import type { Span } from "../../parts/SeriesChart/span";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { fetchInstruments } from "../instruments/fetch";
import type { Run, RunAddress } from "../run/fetch";
import { ChannelChart } from "./ChannelChart";
import { fetchRun, type Column, type FetchChart, type Window } from "./fetch";
import { TakeWindow } from "./TakeWindow";
import { WindowItem } from "./WindowItem";

interface ColumnsProps {
  account: number;
  at: RunAddress;
  run: Run;
  /** The series: a file, or a logger. */
  of: { file: number } | { logger: number };
  /** Its columns, each with the usual distance of two rows in s. */
  columns: (Column & { step: number })[];
  fetchChart: FetchChart;
  /** Another one has the charts drawn anew: the series was read in another way, or has grown. */
  version: number;
}

/** Columns are the charts of a series, and the parts of it that count as readings. */
export function Columns({ account, at, run, of, columns, fetchChart, version }: ColumnsProps) {
  const instruments = useLoad(fetchInstruments, []);
  const [chosen, setChosen] = useState<{ part: Span; times: number } | null>(null);
  const own = (r: Run) => r.points.flatMap((p) => p.windows).filter((w) => ("file" in of ? w.file === of.file : w.logger === of.logger));
  const [windows, setWindows] = useState<Window[]>(own(run));
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const [justTaken, setJustTaken] = useState<number | null>(null);
  const may = run.allowed_actions.includes("record_reading");
  // What of it counts hangs on all that was read at its point: the run says it.
  const look = async () => {
    const a = await fetchRun(at);
    setTrouble(a.ok ? null : a.trouble);
    if (a.ok) {
      setWindows(own(a.data));
    }
  };
  const pointOf = (w: Window) => run.points.find((p) => p.number === w.point)?.name ?? String(w.point);
  return (
    <>
      <section aria-labelledby="charts-title">
        <h2 id="charts-title">Its columns over time</h2>
        {columns.map((c, n) => (
          <Chart key={`${c.name} ${version}`} name={c.name} open={n === 0}>
            <ChannelChart channel={c} step={c.step} fetchChart={fetchChart} take={may ? (part) => setChosen((b) => ({ part, times: (b?.times ?? 0) + 1 })) : null} />
          </Chart>
        ))}
      </section>
      {may ? (
        <TakeWindow
          key={`${version} ${windows.length}`}
          account={account}
          at={at}
          run={run}
          of={of}
          channels={columns}
          instruments={instruments.loaded.state === "here" ? instruments.loaded.data.items : []}
          chosen={chosen}
          taken={(w) => {
            setChosen(null);
            setJustTaken(w.id);
            void look();
          }}
        />
      ) : (
        <p>{run.frozen || (run.state === "open" ? "" : "The run was submitted: nothing more is taken from this.")}</p>
      )}
      {windows.length > 0 || justTaken !== null ? (
        <section aria-labelledby="windows-title">
          <h2 id="windows-title">Taken from it</h2>
          <p role="status">{justTaken === null ? null : "Taken. It stands with its point on the page of the run."}</p>
          {trouble ? <TroubleNote trouble={trouble} again={() => void look()} /> : null}
          {windows.map((w) => (
            <div key={w.id}>
              <h3>Point {pointOf(w)}</h3>
              <WindowItem account={account} at={at} window={w} mayStrike={run.allowed_actions.includes("strike_reading")} changed={() => void look()} />
            </div>
          ))}
        </section>
      ) : null}
    </>
  );
}

/** Chart is drawn once it is opened: a series may have many columns. */
function Chart({ name, open, children }: { name: string; open: boolean; children: preact.ComponentChildren }) {
  const [opened, setOpened] = useState(open);
  return (
    <details class="fold column" open={open} onToggle={(e) => setOpened(opened || e.currentTarget.open)}>
      <summary>{name}</summary>
      {opened ? children : null}
    </details>
  );
}

import { useEffect, useRef, useState } from "preact/hooks";
import type { Trouble } from "../../api/problem";
import { SeriesChart } from "../../parts/SeriesChart/SeriesChart";
import { lengthOf, type Span } from "../../parts/SeriesChart/span";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { useUnits } from "../../system";
import type { ChannelFact, Chart, FetchChart, Summary } from "./fetch";
import { Numbers } from "./Numbers";
import { drawable, greatestOf, most_points, reachOf } from "./points";
import { scaleOf } from "./scale";

interface ChannelChartProps {
  channel: Pick<ChannelFact, "name" | "unit">;
  /** The usual distance of two rows, in s; 0 where it is not known. */
  step: number;
  fetchChart: FetchChart;
  /** Takes the part that is shown; null where nothing can be taken any more. */
  take: ((part: Span) => void) | null;
}

/** ChannelChart draws a channel of a series and says how it is in the part that is shown. The notebook reduces it: a million rows cost no more than a thousand. */
export function ChannelChart({ channel, step, fetchChart, take }: ChannelChartProps) {
  const units = useUnits();
  const s = useSeries(channel.name, fetchChart);
  if (!s.whole || !s.extent) {
    return s.trouble ? (
      <TroubleNote trouble={s.trouble} again={s.again} />
    ) : (
      <p class="quiet" role="status">
        {s.whole ? "Nothing was measured here." : "Fetching …"}
      </p>
    );
  }
  const scale = scaleOf(channel.unit, greatestOf(s.whole.values), units);
  const { points, gaps } = drawable(s.chart ?? s.whole, step, scale.base);
  const found = s.summary?.channels[0] ?? null;
  const shown = s.span ?? s.extent;
  return (
    <div class="channel-chart">
      <SeriesChart
        name={channel.name}
        unit={scale.unit}
        points={points}
        gaps={gaps}
        extent={s.extent}
        cutTo={s.summary && s.summary.from_s > shown.from ? s.summary.from_s : null}
        steady={s.summary && found?.status === "steady" ? { from: s.summary.from_s, to: s.summary.to_s } : null}
        standOut={found?.outlier_count ?? 0}
        outliers={(found?.outliers ?? []).map((o) => [o.t_s, scale.base(o.value)] as const)}
        mean={s.summary && found?.mean.mean != null ? { from: s.summary.from_s, to: s.summary.to_s, value: scale.base(found.mean.mean) } : null}
        least={step > 0 ? 10 * step : lengthOf(s.extent) / 2000}
        waiting={s.waiting}
        onWindow={(from, to) => s.show({ from, to })}
      />
      {s.trouble ? <TroubleNote trouble={s.trouble} again={s.again} /> : null}
      {found && s.summary ? (
        <section aria-label={`The numbers of ${channel.name}`}>
          {s.summary.parts > 1 ? <p class="note">The logger paused in this part. Of the {s.summary.parts} pieces the longest is looked at.</p> : null}
          {s.summary.block_s > 0 ? <p class="note">The rows are unevenly apart, so means over {s.summary.block_s.toPrecision(2)} s are taken first.</p> : null}
          <Numbers of={found} units={units} />
        </section>
      ) : s.trouble ? null : (
        <p class="quiet" role="status">
          {s.waiting ? "Working out its numbers …" : "No sample lies in this part."}
        </p>
      )}
      {take ? (
        <button type="button" class="second off-paper" onClick={() => take(shown)}>
          Take the part that is shown as a reading …
        </button>
      ) : null}
    </div>
  );
}

/** endsOf finds where a series truly begins and ends: of many rows a chart has the least and the greatest of each stretch, and those are seldom the outermost. */
async function endsOf(channel: string, whole: Chart, fetchChart: FetchChart): Promise<Span | null> {
  const reach = reachOf(whole);
  if (!reach || whole.t_s.length < most_points / 2) {
    return reach;
  }
  const [first, last] = await Promise.all([fetchChart({ channel, to: reach.from }), fetchChart({ channel, from: reach.to })]);
  return { from: first.ok ? (first.data.t_s[0] ?? reach.from) : reach.from, to: last.ok ? (last.data.t_s.at(-1) ?? reach.to) : reach.to };
}

/** useSeries fetches the points of the part that is shown, then its numbers; an answer that is late for another part is dropped. */
function useSeries(channel: string, fetchChart: FetchChart) {
  const [whole, setWhole] = useState<Chart | null>(null);
  const [chart, setChart] = useState<Chart | null>(null);
  const [summary, setSummary] = useState<Summary | null>(null);
  const [ends, setEnds] = useState<Span | null>(null);
  const [span, setSpan] = useState<Span | null>(null);
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const [waiting, setWaiting] = useState(true);
  const [attempt, setAttempt] = useState(0);
  const newest = useRef(0);
  useEffect(() => {
    const mine = ++newest.current;
    const isLate = () => mine !== newest.current;
    const look = async () => {
      setWaiting(true);
      setSummary(null);
      const wish = { channel, ...span };
      const a = await fetchChart(wish);
      if (isLate()) {
        return;
      }
      setTrouble(a.ok ? null : a.trouble);
      if (a.ok) {
        setChart(a.data);
        setWhole((w) => w ?? a.data);
        void endsOf(channel, a.data, fetchChart).then((e) => (isLate() || span ? undefined : setEnds(e)));
        const n = await fetchChart({ ...wish, points: 2, window: true });
        if (isLate()) {
          return;
        }
        setTrouble(n.ok ? null : n.trouble);
        setSummary(n.ok ? n.data.window : null);
      }
      setWaiting(false);
    };
    void look();
    return () => {
      newest.current++;
    };
  }, [channel, span?.from, span?.to, attempt]);
  const extent = whole ? (ends ?? reachOf(whole)) : null;
  const show = (next: Span) => setSpan(extent && lengthOf(next) >= lengthOf(extent) ? null : next);
  return { whole, chart, summary, span, trouble, waiting, extent, show, again: () => setAttempt((n) => n + 1) };
}

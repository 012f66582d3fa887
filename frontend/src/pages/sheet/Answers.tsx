import type { Schema } from "../../api/client";
import { Stamp } from "../../parts/Stamp/Stamp";
import { figures } from "../../units";
import { nameOf } from "./fields";
import { hasNumbers, thin, write, type Numbers } from "./say";

const statusWords: Record<string, string> = {
  ok: "works",
  surplus: "works, with fall to spare",
  no_induction: "draws no air",
  no_head: "no fall to use",
  starved: "too little water",
  out_of_range: "outside the model",
  not_carried: "water too slow",
  blocked: "blocked by air",
  cavitation: "vacuum too strong",
  choked: "choked",
  no_operating_point: "no balance found",
};

const evidenceWords: Record<string, string> = {
  A: "A: arithmetic, or measured often",
  B: "B: such machines were built and measured",
  C: "C: proven parts, combined in a new way",
  D: "D: nothing but the model",
};

/** Answers say what a machine will do, the sentence first. */
export function Answers({ report }: { report: Schema<"Report"> | null }) {
  if (!report) {
    return <p class="quiet">Calculating …</p>;
  }
  const r = report.trompe;
  if (!r) {
    return (
      <>
        <h2>Not a machine yet</h2>
        <p>These need another look before it can be calculated:</p>
        <ul>
          {report.faults?.map((f) => (
            <li key={f.at}>
              <a href={`#${nameOf(f.at.replace("/trompe", ""))}`}>{f.message}</a>
            </li>
          ))}
        </ul>
      </>
    );
  }
  const stopped = !hasNumbers(r);
  return (
    <>
      <h2>What it will do</h2>
      <p>
        <Stamp word={statusWords[r.status] ?? r.status} danger={r.status !== "ok" && r.status !== "surplus"} />
      </p>
      <p>{r.message}</p>
      <Warnings list={r.warnings} />
      {stopped ? null : <Figures n={r} />}
      <p class="quiet">How well this is supported: {evidenceWords[r.evidence] ?? r.evidence}. Calculation {report.calc_version}.</p>
      <p class="warn">
        <b>Air under pressure in plastic pipe</b> stores energy and throws pieces when it breaks. These are steady pressures: they are no pressure test. Nothing here is a
        permit; local codes and licensed practice go first. The air is not for breathing.
      </p>
    </>
  );
}

function Warnings({ list }: { list: Schema<"Warning">[] }) {
  return (
    <>
      {list.map((w) => (
        <p class={w.code.startsWith("I_") ? "note" : "warn"} key={w.code}>
          {w.message} {w.at ? <a href={anchorOf(w.at)}>Go there</a> : null}
        </p>
      ))}
    </>
  );
}

const anchorOf = (at: string) => (at.split("/").length > 2 ? `#${nameOf(at)}` : `#part-${at.slice(1)}`);

const terms: [keyof Schema<"Budget">, string][] = [
  ["supply_line", "supply line"],
  ["intake_contraction", "squeezing between the air tubes"],
  ["surplus_fall", "surplus fall, wasted"],
  ["mixing", "mixing of water and air"],
  ["air_intake", "drawing air through the tubes"],
  ["slip", "bubbles rising against the water"],
  ["downcomer_friction", "friction in the downcomer"],
  ["acceleration", "speeding up"],
  ["downcomer_exit", "leaving the downcomer"],
  ["fall_in_chamber", "fall inside the chamber"],
  ["bubble_rise_in_chamber", "bubbles rising in the chamber"],
  ["dissolved_air", "air gone into the water"],
  ["carry_over", "air carried up the riser"],
  ["blow_off", "air blown off"],
  ["riser", "riser"],
  ["air_weight", "weight of the air"],
  ["compression_delivered", "compressing the air you get"],
];

function Figures({ n }: { n: Numbers }) {
  return (
    <>
      <dl class="answers">
        <Row name="Delivery pressure, from flooding to blow-off" value={`${write(n.lowest_delivery_gauge_pa, "pressure")} to ${write(n.blow_off_gauge_pa, "pressure")}`} />
        <Row name="Free air delivered" value={write(n.free_air_delivered_m3s, "free_air")} />
        <Row name="the same, dry at 100 kPa and 20 °C" value={write(n.air_delivered_iso1217_m3s, "free_air")} />
        <Row name="Water used" value={write(n.water_flow_m3s, "flow")} />
        <Row name="Fall used" value={write(n.head_m, "level")} />
        <Row name="Of the water’s power, in the air" value={write(n.efficiency, "percent")} />
        <Row name="Most that any machine could compress" value={n.ideal_free_air_m3s == null ? "none" : write(n.ideal_free_air_m3s, "free_air")} />
        <Row name="Air in the downcomer, by volume, at most" value={write(n.void_max, "percent")} />
        <Row name="Oxygen in the dry air" value={n.oxygen_fraction_dry == null ? "no air" : write(n.oxygen_fraction_dry, "percent")} />
        <Row name="Water vapour in the air" value={n.vapour_g_per_kg_dry == null ? "none" : `${figures(n.vapour_g_per_kg_dry, 3)}${thin}g/kg`} />
        <Row name="Dew point once let out" value={n.dew_point_at_atmosphere_c == null ? "none" : `${figures(n.dew_point_at_atmosphere_c, 3)}${thin}°C`} />
      </dl>
      <p class="note">The pressure is a window, not a slope: between flooding and blow-off air and water stay the same, whatever the receiver asks.</p>
      <Budget head={n.head_m} terms={n.budget_head_m} />
      <details>
        <summary>Down the pipe, level by level</summary>
        <Profile list={n.profile} />
      </details>
    </>
  );
}

function Row({ name, value }: { name: string; value: string }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>
        <b>{value}</b>
      </dd>
    </div>
  );
}

/** Budget shows where the fall goes; bars are drawn to one scale. */
function Budget({ head, terms: t }: { head: number; terms: Schema<"Budget"> }) {
  const rows = terms.filter(([name]) => Math.abs(t[name]) >= 0.0005 * Math.max(head, 0.1));
  const longest = Math.max(...rows.map(([name]) => Math.abs(t[name])), 1e-9);
  return (
    <table class="budget">
      <caption>Where the fall of {write(head, "level")} goes</caption>
      <thead class="unseen">
        <tr>
          <th scope="col">Part</th>
          <th scope="col">Metres of fall</th>
        </tr>
      </thead>
      <tbody>
        {rows.map(([name, words]) => (
          <tr key={name} class={name === "compression_delivered" ? "gain" : undefined}>
            <th scope="row">
              {words}
              <span class="bar" aria-hidden="true" style={{ width: `${(100 * Math.abs(t[name])) / longest}%` }} />
            </th>
            <td>{t[name].toFixed(3).replace("-", "−")}</td>
          </tr>
        ))}
      </tbody>
      <tfoot>
        <tr>
          <th scope="row">together</th>
          <td>{head.toFixed(3)}</td>
        </tr>
      </tfoot>
    </table>
  );
}

function Profile({ list }: { list: Schema<"Station">[] }) {
  return (
    <table class="profile">
      <thead>
        <tr>
          <th scope="col">level, m</th>
          <th scope="col">bar</th>
          <th scope="col">air, %</th>
          <th scope="col">m/s</th>
        </tr>
      </thead>
      <tbody>
        {list.map((s) => (
          <tr key={s.z_m}>
            <td>{s.z_m.toFixed(2).replace("-", "−")}</td>
            <td>{figures(s.p_gauge_pa / 1e5, 3)}</td>
            <td>{figures(100 * s.void, 3)}</td>
            <td>{figures(s.j_ms, 3)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

import type { ComponentChildren } from "preact";
import { Link } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { TitleBlock } from "../../parts/TitleBlock/TitleBlock";
import { useUnits, type Units } from "../../system";
import { dated, listed, when } from "../../words";
import type { Build } from "../build/fetch";
import { sayAt, sayRenewed, writeAt } from "../changebuild/differences";
import { namesOf } from "../stock/names";
import { filesOf, PictureLink, sayValue } from "../test/Recorded";
import { testPath, type OfBuild } from "../test/fetch";
import { entriesOf, listOf, numberOf, partOf, textOf } from "../test/given";
import { choiceWords, labelOf, writeIn } from "../test/words";

type Certificate = Schema<"Certificate">;

/** Body is a certificate in full, on the screen and on paper. */
export function Body({ at, build, certificate: c }: { at: OfBuild; build: Build; certificate: Certificate }) {
  const units = useUnits();
  const b: unknown = c.body;
  return (
    <article class="sheet certificate" aria-label={`Certificate ${c.id}`}>
      <Standing of={c} />
      <section aria-labelledby="limits-title">
        <h2 id="limits-title">Limits of use</h2>
        <ul class="limits">
          {listOf(b, "limits_of_use").map((l) => (
            <li key={String(l)}>{String(l)}</li>
          ))}
        </ul>
      </section>
      <Machine body={b} build={build} units={units} />
      <Tested at={at} body={b} units={units} />
      <Parts body={b} units={units} />
      <Signed at={at} body={b} />
      <Deviations body={b} />
      <TitleBlock
        boxes={[
          { name: "certificate", value: `No. ${c.id}` },
          { name: "machine", value: `No. ${textOf(b, "tag")}, ${textOf(b, "title")}`, wide: true },
          { name: "revision", value: textOf(b, "letter") },
          { name: "issued", value: `${c.issued_by.name}, ${when(c.issued_at)}`, wide: true },
          { name: "last day", value: dated(c.expires_on) },
          { name: "pressure hash", value: <span class="digest">{c.pressure_hash}</span>, wide: true },
          { name: `record before it, link ${c.chain_head.number}`, value: <span class="digest">{c.chain_head.digest}</span>, wide: true },
          { name: "its link", value: String(c.link) },
        ]}
      />
    </article>
  );
}

/** Standing says whether it counts now, and if not every reason. */
function Standing({ of: c }: { of: Certificate }) {
  if (c.valid) {
    return (
      <p class="standing">
        <b>It counts</b> until the end of {dated(c.expires_on)}, as looked at {when(new Date().toISOString())}. Paper knows nothing of what happens later: the notebook does.
      </p>
    );
  }
  return (
    <div class="standing warn">
      <p>
        <b>It does not count: the machine must not be under pressure.</b>
      </p>
      <ul>
        {c.reasons.map((r) => (
          <li key={r.text}>{r.text}</li>
        ))}
      </ul>
    </div>
  );
}

function Facts({ facts }: { facts: [string, ComponentChildren][] }) {
  return (
    <dl class="facts">
      {facts.map(([name, value]) =>
        value === "" || value === null ? null : (
          <div key={name}>
            <dt>{name}</dt>
            <dd>{value}</dd>
          </div>
        ),
      )}
    </dl>
  );
}

const celsius = (x: number | null) => (x === null ? "" : writeIn(x, "degC"));

function saysDiffering(b: unknown, build: Build, units: Units): string {
  return entriesOf(b, "differences")
    .map(([at, v]) => {
      const place = build.may_differ.find((p) => p.at === at);
      return `${sayAt(at, build.may_differ, build.now.input)} ${place && typeof v === "number" ? writeAt(place, v, units) : String(v)}`;
    })
    .join("; ");
}

const saysRenewed = (b: unknown, build: Build) =>
  entriesOf(b, "renewed")
    .map(([at, times]) => sayRenewed(at, build.now.input) + (times === 1 ? "" : ` (${String(times)} times)`))
    .join("; ");

function Machine({ body: b, build, units }: { body: unknown; build: Build; units: Units }) {
  const design = numberOf(b, "p_design_pa");
  const work = numberOf(b, "p_work_bar");
  return (
    <section aria-labelledby="machine-title">
      <h2 id="machine-title">The machine</h2>
      <Facts
        facts={[
          ["Project", textOf(b, "project")],
          ["Machine", `No. ${textOf(b, "tag")}, ${textOf(b, "title")}`],
          ["Place, and how often it was moved", textOf(b, "site")],
          ["Design", `${textOf(b, "design")}, revision ${textOf(b, "letter")}, as built in version ${textOf(b, "build_version")}`],
          ["Digest of the sheet", <span key="digest" class="digest">{textOf(b, "revision_digest")}</span>],
          ["Differs from the sheet", saysDiffering(b, build, units) || "in nothing"],
          ["Replaced or remade", saysRenewed(b, build) || "nothing"],
          ["Highest design pressure", design === null ? "" : units.write(design, "pressure")],
          ["Working pressure", work === null ? "" : units.write(work * 1e5, "pressure")],
          ["Temperatures of its walls", [celsius(numberOf(b, "t_cold_c")), celsius(numberOf(b, "t_hot_c"))].filter(Boolean).join(" to ")],
          ["Holds", listOf(b, "fluids").map(String).join(" and ")],
          ["Gas in its parts", choiceWords(textOf(b, "gas_decision"))],
          ["Built by", listed(listOf(b, "builders").map(String))],
        ]}
      />
    </section>
  );
}

function Tested({ at, body: b, units }: { at: OfBuild; body: unknown; units: Units }) {
  const low = numberOf(b, "test", "p_test_low_pa");
  const relief = [choiceWords(textOf(b, "test", "relief", "kind")), ofUnit("opens at", numberOf(b, "test", "relief", "set_bar"), "bar"), ofUnit("bore", numberOf(b, "test", "relief", "bore_mm"), "mm")].filter(Boolean);
  const gauge = partOf(b, "test", "gauge");
  return (
    <section aria-labelledby="tested-title">
      <h2 id="tested-title">The test</h2>
      <Facts
        facts={[
          ["Sheet", <Link key="sheet" href={testPath({ ...at, test: Number(textOf(b, "test", "number")) })}>{`${textOf(b, "test", "title")}, sheet ${textOf(b, "test", "number")}, procedure ${textOf(b, "test", "template_version")}`}</Link>],
          ["Method and medium", `${textOf(b, "test", "method")}, ${textOf(b, "test", "medium")}`],
          ["Test pressure at the lowest point", low === null ? "" : units.write(low, "pressure")],
          ["When", [momentOf(b, "started_at"), momentOf(b, "ended_at")].filter(Boolean).join(" to ")],
          ["Gauge", gauge ? sayValue({ kind: "instrument", unit: "", ticks: null }, gauge) : "open water manometer"],
          ["Its height above the lowest point", ofUnit("", numberOf(gauge, "height_m"), "m")],
          ["Relief", relief.join(", ") || "none is needed"],
          ["Distance kept, water", ofUnit("", numberOf(b, "test", "exclusion_m"), "m")],
          ["Distance kept, air", ofUnit("", numberOf(b, "test", "exclusion_air_m"), "m")],
          ["Verdict on the drop", textOf(b, "test", "verdict")],
        ]}
      />
    </section>
  );
}

const ofUnit = (word: string, x: number | null, unit: string) => (x === null ? "" : `${word} ${writeIn(x, unit)}`.trim());

function momentOf(b: unknown, name: string): string {
  const at = textOf(b, "test", name);
  return at === "" ? "" : when(at);
}

/** The names of the procedure carry no unit; those that end so are in these. */
const unitsOf: [RegExp, string][] = [
  [/^(p_|relief_set|relief_opened|rating|weakest)/, "bar"],
  [/^(t_|coldest|pipe_temp|water_temp)/, "degC"],
  [/(radius|zone|depth|manometer_height)$/, "m"],
  [/hours/, "h"],
  [/minutes/, "min"],
  [/bore/, "mm"],
  [/^(air_fraction|oxygen)$/, "%"],
  [/^noise$/, "dBA"],
];

/** hasPictures tells pictures, which are kept with their digests, from figures. */
const hasPictures = (v: unknown): boolean => (Array.isArray(v) ? v.some(hasPictures) : textOf(v, "digest") !== "");

/** sayText writes a recorded text: a digest in short, a date as a day, a choice in words. */
const sayText = (text: string) => (/^[0-9a-f]{64}$/.test(text) ? text.slice(0, 8) : dated(choiceWords(text)));

/** sayRecorded says one recorded value with what it is of. */
function sayRecorded(name: string, v: unknown): string {
  const field = { name, kind: "reading" as const, unit: "", only_if: null, when: "", values: [], needs: [], confirm: null, ticks: null, repeats: false, entries: [] };
  const label = labelOf(field, 0);
  if (hasPictures(v)) {
    const n = filesOf(v).length;
    return n === 1 ? label : `${label}: ${n} pictures`;
  }
  const unit = unitsOf.find(([of]) => of.test(name))?.[1] ?? "";
  const one = (x: unknown) => (typeof x === "number" && unit !== "" ? writeIn(x, unit) : typeof x === "string" ? sayText(x) : sayValue(field, x));
  return `${label}: ${Array.isArray(v) ? (v as unknown[]).map(one).join(", ") : one(v)}`;
}

function Parts({ body: b, units }: { body: unknown; units: Units }) {
  const { loaded } = useLoad(() => ask(api.GET("/api/v1/catalogue")), []);
  const names = namesOf(loaded.state === "here" ? loaded.data.items : []);
  return (
    <section aria-labelledby="parts-title">
      <h2 id="parts-title">Parts under pressure</h2>
      <div class="scrolls">
        <table>
          <thead>
            <tr>
              <th scope="col">Part</th>
              <th scope="col">Marking</th>
              <th scope="col">Designed for</th>
              <th scope="col">May hold</th>
              <th scope="col">Gas</th>
            </tr>
          </thead>
          <tbody>
            {listOf(b, "parts").map((p, i) => (
              <tr key={i}>
                <th scope="row">{textOf(p, "name") || choiceWords(textOf(p, "role"))}</th>
                <td>{textOf(p, "marking") || names.of(textOf(p, "line"))}</td>
                <td data-of="Designed for">{pressure(p, "p_design_pa", units)}</td>
                <td data-of="May hold">{pressure(p, "allow_pa", units)}</td>
                <td data-of="Gas">{choiceWords(textOf(p, "verdict"))}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </section>
  );
}

function pressure(p: unknown, name: string, units: Units): string {
  const x = numberOf(p, name);
  return x === null ? "" : units.write(x, "pressure");
}

/** Signed is what was recorded item by item, and who signed it; what was signed without a record stands there too. */
function Signed({ at, body: b }: { at: OfBuild; body: unknown }) {
  const photos = listOf(b, "photos");
  const readings = listOf(b, "test", "readings");
  const signatures = listOf(b, "signatures");
  const items = [...new Set([...readings, ...signatures].map((x) => textOf(x, "item")))];
  return (
    <section aria-labelledby="signed-title">
      <h2 id="signed-title">Recorded and signed</h2>
      <table>
        <thead>
          <tr>
            <th scope="col">Item</th>
            <th scope="col">Recorded</th>
            <th scope="col">Signed</th>
          </tr>
        </thead>
        <tbody>
          {items.map((item) => {
            const of = (list: unknown[]) => list.filter((x) => textOf(x, "item") === item);
            return (
              <tr key={item}>
                <th scope="row">
                  {item} {textOf(of(readings)[0], "title")}
                </th>
                <td>
                  {of(readings).map((r, i) => (
                    <p key={i}>{sayReading(r)}</p>
                  ))}
                </td>
                <td class="signed">
                  {of(signatures).map((s, i) => (
                    <p key={i}>
                      {textOf(s, "role")}: <b>{textOf(s, "name")}</b>, {when(textOf(s, "at"))}
                      {textOf(s, "how") === "paper" ? ", from paper" : ""}
                    </p>
                  ))}
                </td>
              </tr>
            );
          })}
        </tbody>
      </table>
      {photos.length > 0 ? (
        <p class="photos">
          Pictures:{" "}
          {photos.map((p, i) => (
            <span key={i}>
              <span class="off-paper">
                <PictureLink project={at.project} file={numberOf(p, "file") ?? 0} name={`${textOf(p, "item")}, picture ${photos.slice(0, i + 1).filter((q) => textOf(q, "item") === textOf(p, "item")).length}`} />
              </span>
              <span class="only-print digest">
                {textOf(p, "item")} {textOf(p, "digest").slice(0, 16)}
              </span>{" "}
            </span>
          ))}
        </p>
      ) : null}
    </section>
  );
}

/** sayReading says all that was recorded of an item at once, and when. */
function sayReading(r: unknown): string {
  const said = entriesOf(r, "recorded").map(([name, v]) => sayRecorded(name, v)).filter(Boolean).join("; ");
  const at = textOf(r, "at");
  return at === "" ? said : `${said} (${when(at)})`;
}

function Deviations({ body: b }: { body: unknown }) {
  const all = listOf(b, "deviations");
  return all.length === 0 ? null : (
    <section aria-labelledby="deviations-title">
      <h2 id="deviations-title">What was not as planned</h2>
      <ul>
        {all.map((d, i) => (
          <li key={i}>{String(d)}</li>
        ))}
      </ul>
    </section>
  );
}

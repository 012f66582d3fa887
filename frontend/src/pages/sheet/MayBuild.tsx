import { useState } from "preact/hooks";
import type { Schema } from "../../api/client";
import { Stamp } from "../../parts/Stamp/Stamp";
import { useUnits } from "../../system";
import { PinMark, pinId, PinPlace } from "./pins";
import { Results } from "./Steps";

type Judged = Schema<"JudgedPart">;
type Change = Schema<"PartChange">;

/** What a builder calls the role of a part. */
export const roleWords: Record<string, string> = {
  supply_pipe: "Supply pipe",
  downcomer: "Downcomer",
  chamber: "Chamber",
  riser: "Riser",
  air_line: "Air line",
  receiver: "Receiver",
  drive_pipe: "Drive pipe",
  air_vessel: "Air vessel",
  delivery_pipe: "Delivery pipe",
  other: "Another part",
  air_tubes: "Air tubes",
};

export const verdictWords: Record<Judged["verdict"], string> = { allowed: "allowed", conditional: "allowed with conditions", not_allowed: "not allowed" };

const classWords: Record<string, string> = {
  plain: "Plain: one other member checks it.",
  raised: "Raised: two other members check it.",
  barred: "Barred: as it stands, this sheet cannot be issued.",
};

interface MayBuildProps {
  build: Schema<"BuildReport">;
  /** Puts a change into the sheet; without it the sheet only reads. */
  onChange?: ((set: Record<string, unknown>) => void) | undefined;
}

/** MayBuild says of each part whether it may be built, and why. None of it is a permit. */
export function MayBuild({ build, onChange }: MayBuildProps) {
  return (
    <section aria-label="May it be built?" class="may-build">
      <h2>May it be built?</h2>
      <p>
        <b>{classWords[build.class]}</b>
      </p>
      {build.why.length > 0 ? (
        <ul>
          {build.why.map((w) => (
            <li key={w.text}>{sentence(w.text)}</li>
          ))}
        </ul>
      ) : null}
      {build.parts.map((p) => (
        <OnePart key={p.at + p.role} part={p} onChange={onChange} />
      ))}
      {build.flags.length > 0 ? (
        <>
          <h3>What the law may say</h3>
          <ul>
            {build.flags.map((f) => (
              <li key={f.code}>{f.text}</li>
            ))}
          </ul>
        </>
      ) : null}
      <p class="warn">
        Local law, the water supplier, the maker’s instructions and licensed practice come first; where they are stricter, they win. leat computes and records. It is no inspection
        body, and nothing here is a permit.
      </p>
    </section>
  );
}

function OnePart({ part, onChange }: { part: Judged; onChange: MayBuildProps["onChange"] }) {
  const units = useUnits();
  const role = roleWords[part.role] ?? part.role;
  const pin = { kind: "result", at: `/build${part.at}`, name: `may it be built: ${part.name || role}` } as const;
  return (
    <section id={pinId(pin)} aria-label={part.name || role} class={part.verdict === "not_allowed" ? "judged refused" : "judged"}>
      <h3>
        {part.name ? `${part.name}, ${role.toLowerCase()}` : role} <Stamp word={verdictWords[part.verdict]} danger={part.verdict === "not_allowed"} /> <PinMark pin={pin} />
      </h3>
      {part.p_design_pa === null ? null : (
        <p>
          It must be good for <b>{units.write(part.p_design_pa, "pressure")}</b>: {part.case}.
          {part.allow_pa === null ? "" : ` It may hold ${units.write(part.allow_pa, "pressure")}.`}
        </p>
      )}
      <Said list={part.reasons} />
      {part.conditions.length > 0 ? <p>Conditions:</p> : null}
      <Said list={part.conditions} />
      {part.distance ? (
        <p>
          While its pressure rises, everybody keeps <b>{units.write(part.distance.m, "length")}</b> away: {part.distance.rule.text}.
        </p>
      ) : null}
      {part.changes && part.changes.length > 0 ? (
        <>
          <p>
            <b>What would be allowed:</b>
          </p>
          <ul class="changes">
            {part.changes.map((c) => (
              <li key={c.text}>
                <OneChange change={c} onChange={onChange} />
              </li>
            ))}
          </ul>
        </>
      ) : null}
      <PinPlace pin={pin} />
      <Asked list={part.asked} />
    </section>
  );
}

function Said({ list }: { list: Schema<"Said">[] }) {
  return list.length === 0 ? null : (
    <ul>
      {list.map((s) => (
        <li key={s.code}>{s.text}</li>
      ))}
    </ul>
  );
}

function OneChange({ change, onChange }: { change: Change; onChange: MayBuildProps["onChange"] }) {
  const units = useUnits();
  const cost = change.air_cost_m3s;
  const air = cost === null || Math.abs(cost) < 1e-7 ? "" : cost > 0 ? ` It costs ${units.write(cost, "free_air")} of air.` : ` It gives ${units.write(-cost, "free_air")} of air more.`;
  return (
    <>
      {change.text} Then: {verdictWords[change.verdict]}.{air}{" "}
      {onChange ? (
        <button type="button" class="plain off-paper" onClick={() => onChange(change.set)}>
          Put it into the sheet
        </button>
      ) : null}
    </>
  );
}

/** Asked folds away the calculations that a decision rests on. */
function Asked({ list }: { list: Schema<"AskedCalc">[] }) {
  const [open, setOpen] = useState(false);
  return list.length === 0 ? null : (
    <details class="off-paper" onToggle={(e) => setOpen(e.currentTarget.open)}>
      <summary>What this rests on</summary>
      {open
        ? list.map((a) => (
            <section key={a.title} aria-label={a.title}>
              <h4>{a.title}</h4>
              {a.answer.fault ? <p class="warn">{a.answer.fault.message}</p> : null}
              {a.answer.result ? <Results calc={a.calc} result={a.answer.result} input={a.input} /> : null}
            </section>
          ))
        : null}
    </details>
  );
}

const sentence = (text: string) => `${text.charAt(0).toUpperCase()}${text.slice(1)}${text.endsWith(".") ? "" : "."}`;

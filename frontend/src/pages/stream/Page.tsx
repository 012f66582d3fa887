import { useState } from "preact/hooks";
import { useSession } from "../../api/session";
import { NumberWithUnit } from "../../parts/NumberWithUnit/NumberWithUnit";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { unitsIn } from "../../system";
import { understand } from "../../typed";
import { show, unitNamed, type Unit } from "../../units";
import { Could } from "./Could";
import { gauge } from "./flow";
import { Keep } from "./Keep";
import { readPlaces } from "./queue";
import { counted, emptied, keepTiming, readTiming, type Timing } from "./timing";
import { Timer } from "./Timer";
import "./page.css";

/** StreamPage times a bucket at the water, on a phone without signal, and says what the stream could give. */
export default function StreamPage() {
  const session = useSession();
  const known = readPlaces();
  const units = unitsIn("member" in session ? session.member.units : known?.units);
  const bucketUnit = unitNamed("volume", units.system === "us" ? "US gal" : "L");
  const [timing, setTiming] = useState(readTiming);
  const [kept, setKept] = useState(true);
  const change = (next: Timing) => {
    setKept(keepTiming(next));
    setTiming(next);
  };
  const bucket = understand(timing.bucket, bucketUnit);
  const times = counted(timing);
  const found = bucket.kind === "value" ? gauge(bucket.base, times) : null;
  return (
    <PageFrame title="At the stream">
      <p class="warn small">
        <b>Moving water kills.</b> Firm ground, dry boots on stone, never alone, never in a flood.
      </p>
      <div class="stream">
        <NumberWithUnit name="bucket" label="The bucket holds" text={timing.bucket} onText={(t) => change({ ...timing, bucket: t })} unit={bucketUnit} {...faultOf(timing.bucket, bucketUnit)} brief />
        <Timer timing={timing} onChange={change} />
        {kept ? null : <p class="warn">This browser keeps nothing: write the times down on paper too.</p>}
        {found ? (
          <section aria-label="The flow" class="found">
            <p class="big" role="status">
              {units.write(found.flow_m3s, "flow")} <span class="give">± {units.write(found.half_m3s, "flow")}</span>
            </p>
            <p class="small quiet">
              {found.n === 1 ? "One fill" : `${found.n} fills`}, {found.mean_s.toFixed(1)} s each on average. 19 of 20 such gaugings lie within the ±.
            </p>
            {found.n < 3 ? <p class="warn small">Time three fills or more: one alone hides a slip of the thumb.</p> : null}
            {found.mean_s < 5 ? <p class="warn small">The bucket fills in less than 5 s: take a larger one, or the thumb decides the answer.</p> : null}
          </section>
        ) : (
          <p class="quiet">{timing.fills.length > 0 ? "Say what the bucket holds, and the flow stands here." : "Hold the bucket under all the water. Press as it begins to fill, press again when it is full."}</p>
        )}
        <Fall timing={timing} onChange={change} found={found?.flow_m3s ?? null} level={units.typed("level")} write={units.write} />
        <Keep found={found} how={found ? howWords(timing, bucketUnit) : ""} onKept={() => change(emptied(timing))} />
      </div>
    </PageFrame>
  );
}

type FallProps = { timing: Timing; onChange: (t: Timing) => void; found: number | null; level: Unit; write: (value: number, use: "level" | "flow" | "free_air" | "pressure") => string };

function Fall({ timing, onChange, found, level, write }: FallProps) {
  const fall = understand(timing.fall, level);
  const depth = understand(timing.depth, level);
  return (
    <section aria-label="What it could give" class="stack">
      <h2>What could it give?</h2>
      <NumberWithUnit
        name="fall"
        label="Fall"
        hint="From the water above to the water below. Fill a hose with water, hold one end at the upper water: it stands as high at the other. Measure down from there."
        text={timing.fall}
        onText={(t) => onChange({ ...timing, fall: t })}
        unit={level}
        {...faultOf(timing.fall, level)}
        brief
      />
      <NumberWithUnit
        name="depth"
        label="Depth that can be dug below the lower water"
        hint="It makes the pressure. A shaft deeper than a person’s waist needs someone who knows shoring."
        text={timing.depth}
        onText={(t) => onChange({ ...timing, depth: t })}
        unit={level}
        {...faultOf(timing.depth, level)}
        brief
      />
      {found !== null && fall.kind === "value" && depth.kind === "value" ? <Could flow={found} fall={fall.base} depth={depth.base} write={write} /> : null}
    </section>
  );
}

function faultOf(text: string, unit: Unit): { fault?: string } {
  const u = understand(text, unit);
  if (u.kind === "unclear") {
    return { fault: u.message };
  }
  return u.kind === "value" && u.base <= 0 ? { fault: "Type a number above zero." } : {};
}

/** howWords is the record of how it was gauged. */
function howWords(timing: Timing, bucketUnit: Unit): string {
  const bucket = understand(timing.bucket, bucketUnit);
  const holds = bucket.kind === "value" ? show(bucket.base, bucket.unit) : timing.bucket;
  const struck = timing.fills.length - counted(timing).length;
  return `Bucket of ${holds} filled in ${counted(timing).map((s) => s.toFixed(1)).join(", ")} s, timed at the stream.${struck > 0 ? ` ${struck} struck out.` : ""}`.slice(0, 500);
}

import type { ComponentChildren } from "preact";
import type { Form } from "../../forms/form";
import type { SiteField, Source } from "./facts";

interface Choice {
  value: Source;
  name: string;
  /** What must be known before anyone counts on it, or gets hurt. */
  caution: ComponentChildren;
}

const choices: Choice[] = [
  {
    value: "stream",
    name: "Stream over a weir",
    caution: (
      <>
        <b>Drowning, and other people’s water.</b> Work at a weir in pairs and never in a flood. Taking or damming water mostly needs a
        permit, even for a trickle.
      </>
    ),
  },
  {
    value: "hose",
    name: "Hose",
    caution: (
      <>
        <b>A hose gives flow, not chamber pressure.</b> The pressure in the chamber comes from its depth below the outlet, whatever a
        gauge at the tap shows.
      </>
    ),
  },
  {
    value: "mains",
    name: "Water main",
    caution: (
      <>
        <b>Backflow can poison your neighbours.</b> A machine on the mains needs an air gap or the backflow preventer that your water
        supplier asks for, fitted by someone licensed. And the main’s pressure does not become chamber pressure.
      </>
    ),
  },
  {
    value: "roof",
    name: "Roof and gutter",
    caution: (
      <>
        <b>A roof gives what the rain gives, and only then.</b> 100 m² under 10 mm of rain an hour are about 17 L/min, the
        water of one garden hose. Don’t work on a wet roof.
      </>
    ),
  },
  {
    value: "tank",
    name: "Tank",
    caution: (
      <>
        <b>A tank runs empty.</b> The fall shrinks as its level sinks, and 1 L/s takes 3.6 m³ an hour to refill. Standing warm water
        breeds legionella.
      </>
    ),
  },
];

/** SourceChoice asks where the water comes from and says what that brings with it. */
export function SourceChoice({ form }: { form: Form<SiteField> }) {
  const chosen = choices.find((c) => c.value === form.texts.source);
  const fault = form.fault("source");
  return (
    <fieldset class="sources" id="source" tabIndex={-1} {...(fault ? { "aria-describedby": "source-fault" } : {})}>
      <legend>Where does the water come from?</legend>
      {fault ? (
        <p class="fault" id="source-fault">
          {fault}
        </p>
      ) : null}
      {choices.map((c) => (
        <label key={c.value}>
          <input
            type="radio"
            name="source"
            value={c.value}
            checked={form.texts.source === c.value}
            onChange={() => form.set("source", c.value)}
          />
          {c.name}
        </label>
      ))}
      <div aria-live="polite">{chosen ? <p class="warn">{chosen.caution}</p> : null}</div>
    </fieldset>
  );
}

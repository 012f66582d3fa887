import { when } from "../../words";
import type { Test } from "./fetch";
import { stageWords, writeIn } from "./words";

const number = (v: unknown) => (typeof v === "number" ? v : null);

/** Strip stays in view: where the test stands, how high the pressure goes, how far away one keeps. */
export function Strip({ test, stage, cutSince }: { test: Test; stage: string; cutSince: string | null }) {
  const met = test.items.filter((i) => i.state === "met").length;
  return (
    <section class="test-strip off-paper" aria-label="What counts now">
      <p>
        <b>{stageWords[stage] ?? stage}</b>{" "}
        <span class="quiet">
          {met} of {test.items.filter((i) => !i.after_failure || i.state !== "closed").length} met
        </span>
      </p>
      <p>
        Keep <b>{sayDistance(test, stage)}</b> away. Test at <b>{sayPressure(test)}</b>.
      </p>
      {cutSince === null ? null : (
        <p class="cut" role="status">
          <b>No connection since {when(cutSince).slice(-5)}.</b> What you type is kept. Signing needs a connection.
        </p>
      )}
    </section>
  );
}

/** sayPressure says what the gauge is to show, once the gauge is known; before that, the pressure at the lowest point. */
export function sayPressure(test: Test): string {
  const [target, most, low] = [number(test.names["gauge_target_bar"]), number(test.names["gauge_max_bar"]), number(test.names["p_test_low_bar"])];
  if (target !== null && most !== null) {
    return `${writeIn(target, "bar", 3)} on the gauge, never past ${writeIn(most, "bar", 3)}`;
  }
  return low === null ? "not known" : `${writeIn(low, "bar", 3)}, lowest point`;
}

/** sayDistance says how far people keep away, in water or in air. */
export function sayDistance(test: Test, stage: string): string {
  const m = number(test.names[stage === "air" ? "exclusion_air_m" : "exclusion_m"]);
  return m === null ? "not known" : writeIn(m, "m");
}

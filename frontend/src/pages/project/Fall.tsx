import type { ComponentChildren } from "preact";
import "./fall.css";

export interface LevelProps {
  name: string;
  /** The level's place on the water: headwater, tailwater. */
  place?: string;
  /** Water has come this far. */
  reached: boolean;
  /** Air is in the water from here on: a prediction exists. */
  aired?: boolean;
  children: ComponentChildren;
}

/** Fall is a project as an elevation: levels on one vertical water line, from headwater to tailwater. */
export function Fall({ children }: { children: ComponentChildren }) {
  return <ol class="fall">{children}</ol>;
}

/** Level is one level of the fall: how things stand there and the one thing to do next. */
export function Level({ name, place, reached, aired = false, children }: LevelProps) {
  return (
    <li class={reached ? "reached" : "dry"}>
      <span class={aired ? "pipe aired" : "pipe"} aria-hidden="true" />
      <div class="level-line">
        <svg class="level-mark" viewBox="0 0 24 26" aria-hidden="true">
          <path d="M3 2h18l-9 12z" />
          <path class="ripples" d="M5 18.5h14M8 22h8M10.5 25.5h3" />
        </svg>
        <h2>
          {name}
          {reached ? null : <span class="unseen"> (not reached)</span>}
        </h2>
        {place ? <span class="place quiet">{place}</span> : null}
      </div>
      <div class="level-body">{children}</div>
    </li>
  );
}

import type { ComponentChildren } from "preact";
import "./choices.css";

interface ChoicesProps {
  /** Unique on the page; the id of the whole, so that a summary can link to it. */
  name: string;
  legend: string;
  choices: { value: string; words: ComponentChildren }[];
  chosen: string;
  onPick: (value: string) => void;
  fault?: string | undefined;
}

/** Choices are a few things of which one is picked, each with the words that say what it means. */
export function Choices({ name, legend, choices, chosen, onPick, fault }: ChoicesProps) {
  return (
    <fieldset id={name} tabIndex={-1} class={fault ? "choices faulty" : "choices"} {...(fault ? { "aria-describedby": `${name}-fault` } : {})}>
      <legend>{legend}</legend>
      {fault ? (
        <p class="fault" id={`${name}-fault`}>
          <span class="unseen">Fault: </span>
          {fault}
        </p>
      ) : null}
      {choices.map(({ value, words }) => (
        <label key={value}>
          <input type="radio" name={name} checked={chosen === value} onChange={() => onPick(value)} />
          <span>{words}</span>
        </label>
      ))}
    </fieldset>
  );
}

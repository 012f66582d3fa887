import "./stamp.css";

/** Stamp is a state as a word in a frame, as a drawing office stamps it; a danger has a double frame. */
export function Stamp({ word, danger = false }: { word: string; danger?: boolean }) {
  return <span class={danger ? "stamp danger" : "stamp"}>{word}</span>;
}

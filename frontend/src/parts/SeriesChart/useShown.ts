import { useEffect, useRef, useState } from "preact/hooks";
import { fitted, lengthOf, moved, zoomed, type Span } from "./span";

/** Time to think before the server is asked: a second press follows within it. */
const pause = 250; // ms

/** Which part of a record is shown, and what may be done about it. */
export interface Shown {
  span: Span;
  whole: boolean;
  /** Nothing finer can be shown. */
  finest: boolean;
  zoom: (times: number) => void;
  move: (share: number) => void;
  choose: (span: Span) => void;
  back: () => void;
}

/** useShown keeps the part that is shown, and asks for its points once it has rested. The whole grows with the record. */
export function useShown(extent: Span, least: number, onWindow: (from: number, to: number) => void): Shown {
  const [chosen, setChosen] = useState<Span | null>(null);
  const shortest = Math.min(least, lengthOf(extent));
  const span = chosen ? fitted(chosen, extent, shortest) : extent;
  const ask = useRef(() => onWindow(span.from, span.to));
  ask.current = () => onWindow(span.from, span.to);
  const first = useRef(true);
  useEffect(() => {
    if (first.current) {
      first.current = false;
      return;
    }
    const timer = setTimeout(() => ask.current(), pause);
    return () => clearTimeout(timer);
  }, [chosen]);
  const choose = (next: Span) => {
    const fit = fitted(next, extent, shortest);
    setChosen(lengthOf(fit) >= lengthOf(extent) ? null : fit);
  };
  return {
    span,
    whole: chosen === null,
    finest: lengthOf(span) <= shortest * (1 + 1e-9),
    zoom: (times) => choose(zoomed(span, times)),
    move: (share) => choose(moved(span, share)),
    choose,
    back: () => setChosen(null),
  };
}

import { createContext, type ComponentChildren } from "preact";
import { useContext } from "preact/hooks";

/** What a remark can be pinned to: a pointer into the input or the report, a part of the drawing, or nothing for the whole. */
export interface Pin {
  kind: "input" | "result" | "part" | "whole";
  at: string;
  /** What it is called here. */
  name: string;
}

/** What a page that takes remarks puts beside an input or an answer. */
export interface Pins {
  /** What is seen while the thing is folded: how many remarks stand on it. */
  mark: (pin: Pin) => ComponentChildren;
  /** What is seen once it is open: the remarks, and the way to leave one. */
  place: (pin: Pin) => ComponentChildren;
}

/** PinsHere is what such a page puts; other pages put nothing. */
export const PinsHere = createContext<Pins | null>(null);

export function PinMark({ pin }: { pin: Pin }) {
  return <>{useContext(PinsHere)?.mark(pin)}</>;
}

export function PinPlace({ pin }: { pin: Pin }) {
  return <>{useContext(PinsHere)?.place(pin)}</>;
}

/** pinId is the id of the place that a pin means. */
export const pinId = ({ kind, at }: Pick<Pin, "kind" | "at">) => `pin-${kind}${at.replaceAll("/", "-")}`;

/** goToPin opens whatever the place of a pin is folded into, and goes there. */
export function goToPin(pin: Pick<Pin, "kind" | "at">): void {
  const place = document.getElementById(pin.kind === "part" ? "drawing" : pinId(pin));
  if (!place) {
    return;
  }
  for (let e: Element | null = place; e; e = e.parentElement) {
    if (e instanceof HTMLDetailsElement) {
      e.open = true;
    }
  }
  const own = pin.kind === "part" ? null : place.querySelector("details");
  if (own) {
    own.open = true;
  }
  place.scrollIntoView({ block: "center" });
  (own?.querySelector("summary") ?? place).focus({ preventScroll: true });
}

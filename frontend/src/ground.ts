import { useState } from "preact/hooks";

/** Paper, blueprint, or what the system prefers. */
export type Ground = "system" | "paper" | "blueprint";

const place = "leat:ground";

/** storedGround reads the choice kept in this browser. */
export function storedGround(): Ground {
  const kept = keep(() => localStorage.getItem(place));
  return kept === "paper" || kept === "blueprint" ? kept : "system";
}

/** layGround puts the choice on the document, for the tokens to follow. */
export function layGround(ground: Ground): void {
  if (ground === "system") {
    delete document.documentElement.dataset["ground"];
  } else {
    document.documentElement.dataset["ground"] = ground;
  }
}

/** useGround gives the choice and a way to change it. */
export function useGround(): [Ground, (g: Ground) => void] {
  const [ground, setGround] = useState(storedGround);
  const choose = (g: Ground) => {
    keep(() => localStorage.setItem(place, g));
    layGround(g);
    setGround(g);
  };
  return [ground, choose];
}

/** A browser may forbid storage; the page then works without remembering. */
function keep<T>(use: () => T): T | null {
  try {
    return use();
  } catch {
    return null;
  }
}

import { useEffect, useState } from "preact/hooks";

const wideEnough = "(min-width: 48rem)";

/** useNarrow says whether the drawing must stay in its short form. */
export function useNarrow(): boolean {
  const [narrow, setNarrow] = useState(() => !matchMedia(wideEnough).matches);
  useEffect(() => {
    const query = matchMedia(wideEnough);
    const look = () => setNarrow(!query.matches);
    query.addEventListener("change", look);
    return () => query.removeEventListener("change", look);
  }, []);
  return narrow;
}

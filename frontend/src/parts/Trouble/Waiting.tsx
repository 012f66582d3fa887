import type { Loaded } from "../../api/load";
import { TroubleNote } from "./TroubleNote";

/** Waiting stands where something is not here yet: on its way, or why not. */
export function Waiting({ loaded, again }: { loaded: Loaded<unknown>; again: () => void }) {
  if (loaded.state === "failed") {
    return <TroubleNote trouble={loaded.trouble} again={again} />;
  }
  return (
    <p class="quiet" role="status">
      Fetching …
    </p>
  );
}

import type { Schema } from "../../api/client";
import { useUnits } from "../../system";
import { sayGauged, sayGaugedWhen } from "../site/gaugings";

interface GaugingNoteProps {
  site: Schema<"Site">;
  /** The id of the gauging that the sheet names, as text; empty for none. */
  named: string;
  /** The sheet has a field for the flow. */
  hasFlow: boolean;
  onTake: (g: Schema<"Gauging">) => void;
}

/** GaugingNote says on a draft that its site was gauged again, and offers the new figure. No sheet changes by itself. */
export function GaugingNote({ site, named, hasFlow, onTake }: GaugingNoteProps) {
  const units = useUnits();
  const g = site.gauging;
  if (!g || named === String(g.id)) {
    return null;
  }
  return (
    <div class="newer-gauging">
      <p>
        <b>{named === "" ? "This sheet names no gauging." : "The flow was gauged again."}</b> What counts now: {sayGauged(g, units)} ({sayGaugedWhen(g)}
        ). The sheet stays as it is until you take the figure.
        {hasFlow ? null : " A hose has no field for its flow here: look at its pressure and loss factor too."}
      </p>
      <button type="button" class="second" onClick={() => onTake(g)}>
        {hasFlow ? "Take the new flow" : "Name the new gauging"}
      </button>
    </div>
  );
}

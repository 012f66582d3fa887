import { useState } from "preact/hooks";
import { Drawing, type DrawingProps } from "../../parts/Drawing/Drawing";

/** WholeDrawing is the drawing with all its labels, for a screen that has room only for the short one beside the inputs. */
export function WholeDrawing(props: Pick<DrawingProps, "drawing" | "about" | "write" | "onSelect">) {
  const [open, setOpen] = useState(false);
  return (
    <details class="whole off-paper" onToggle={(e) => setOpen(e.currentTarget.open)}>
      <summary>The whole drawing, with every level and size</summary>
      {open ? <Drawing {...props} height={1100} /> : null}
    </details>
  );
}

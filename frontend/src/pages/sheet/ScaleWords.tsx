import { roundScale } from "../../parts/Drawing/Drawing";

/** ScaleWords says the scale on the screen, and on paper that of the drawing there. */
export function ScaleWords({ of, paper }: { of: number; paper: number }) {
  return (
    <>
      <span class="off-paper">{of > 0 ? `1:${roundScale(of)}` : "to scale"}</span>
      <span class="only-paper">{paper > 0 ? `1:${roundScale(paper)}` : "not drawn"}</span>
    </>
  );
}

import type { ComponentChildren } from "preact";
import "./titleblock.css";

/** One box of a title block: what it is, and what stands in it. */
export interface Box {
  name: string;
  value: ComponentChildren;
  /** Takes two places where there is room. */
  wide?: boolean;
}

/** TitleBlock is the strip of a drawing that says what it is, in what state, by whom and when. */
export function TitleBlock({ boxes }: { boxes: Box[] }) {
  return (
    <dl class="title-block">
      {boxes.map((b) => (
        <div key={b.name} class={b.wide ? "wide" : undefined}>
          <dt>{b.name}</dt>
          <dd>{b.value}</dd>
        </div>
      ))}
    </dl>
  );
}

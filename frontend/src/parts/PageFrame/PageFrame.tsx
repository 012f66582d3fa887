import type { ComponentChildren } from "preact";
import { useEffect, useRef } from "preact/hooks";
import { Link } from "wouter-preact";
import "./pageframe.css";

export interface PageFrameProps {
  /** The page's name: its first heading and the browser's title. */
  title: string;
  /** Where this page hangs: from the top down, without the page itself. */
  trail?: { href: string; name: string }[];
  /** Beside the heading: a stamp, say. */
  aside?: ComponentChildren;
  /** For pages that need the whole width, as a design sheet does. */
  wide?: boolean;
  children: ComponentChildren;
}

/** PageFrame is what every page has: a trail upwards, one first heading that takes the focus on arrival, and the page. */
export function PageFrame({ title, trail = [], aside, wide = false, children }: PageFrameProps) {
  const heading = useRef<HTMLHeadingElement>(null);
  useEffect(() => heading.current?.focus({ preventScroll: true }), []);
  useEffect(() => {
    document.title = `${title} · leat`;
  }, [title]);
  return (
    <main class={wide ? "page wide" : "page"} id="page">
      {trail.length > 0 ? (
        <nav class="trail off-paper" aria-label="Where you are">
          <ol>
            {trail.map((t) => (
              <li key={t.href}>
                <Link href={t.href}>{t.name}</Link>
              </li>
            ))}
          </ol>
        </nav>
      ) : null}
      <div class="page-head">
        <h1 tabIndex={-1} ref={heading}>
          {title}
        </h1>
        {aside}
      </div>
      {children}
    </main>
  );
}

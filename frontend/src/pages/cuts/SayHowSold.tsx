import { Link } from "wouter-preact";

/** SayHowSold leads to the stock list, to enter how a thing is sold. */
export function SayHowSold({ thing, name, words }: { thing: string; name: string; words: string }) {
  return (
    <>
      {words}
      <Link class="enter off-paper" href={`/stock/new?sale=1&thing=${encodeURIComponent(thing)}`} aria-label={`Enter how it is sold: ${name}`}>
        Enter how it is sold
      </Link>
    </>
  );
}

import type { Trouble } from "../../api/problem";

/** TroubleNote says in place why something is not here, and offers to try again where that can help. */
export function TroubleNote({ trouble, again }: { trouble: Trouble; again?: () => void }) {
  const helps = trouble.kind !== "forbidden" && trouble.kind !== "missing";
  return (
    <div class="warn" role="alert">
      <p>
        <b>{trouble.title}</b> {trouble.detail}
      </p>
      {trouble.kind === "broken" && trouble.reference ? <p class="small quiet">To quote to your keeper: {trouble.reference}</p> : null}
      {again && helps ? (
        <button type="button" class="second" onClick={again}>
          Try again
        </button>
      ) : null}
    </div>
  );
}

import type { Travelled } from "../../api/carry";

/** Way draws how far a file has come. */
export function Way({ label, of }: { label: string; of: Travelled }) {
  return (
    <p class="way">
      <progress aria-label={label} {...(of.whole === null ? {} : { max: of.whole, value: of.done })} />
      <span>
        {size(of.done)}
        {of.whole === null ? "" : ` of ${size(of.whole)}`}
      </span>
    </p>
  );
}

const size = (bytes: number) => `${(bytes / 1e6).toFixed(1)}\u202FMB`;

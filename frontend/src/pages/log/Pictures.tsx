import { useEffect, useState } from "preact/hooks";
import type { Held, Holding } from "./held";

/** Pictures takes pictures from the camera, and pictures and files that are there, and shows what is held. */
export function Pictures({ holding, prefix }: { holding: Holding; prefix: string }) {
  const choose = (e: Event & { currentTarget: HTMLInputElement }) => {
    const files = [...(e.currentTarget.files ?? [])];
    e.currentTarget.value = ""; // so that the same file can be chosen again
    void holding.add(files);
  };
  return (
    <div class="stack" role="group" aria-label="Pictures and files">
      <div class="row">
        <label class="do second choose">
          Take a picture
          <input id={`${prefix}-camera`} type="file" accept="image/jpeg,image/png" capture="environment" onChange={choose} />
        </label>
        <label class="do second choose">
          Add pictures or files
          <input id={`${prefix}-files`} type="file" multiple onChange={choose} />
        </label>
      </div>
      <div role="status">{holding.busy ? <p class="quiet">Making it smaller …</p> : null}</div>
      {holding.faults.length > 0 ? (
        <div class="warn" role="alert">
          {holding.faults.map((f) => (
            <p key={f}>{f}</p>
          ))}
        </div>
      ) : null}
      {holding.held.length > 0 ? (
        <ul class="held">
          {holding.held.map((h) => (
            <HeldLine key={h.key} of={h} remove={() => holding.remove(h.key)} />
          ))}
        </ul>
      ) : null}
    </div>
  );
}

function HeldLine({ of: h, remove }: { of: Held; remove: () => void }) {
  const [url, setUrl] = useState("");
  useEffect(() => {
    if (!h.picture) {
      return;
    }
    const made = URL.createObjectURL(h.body);
    setUrl(made);
    return () => URL.revokeObjectURL(made);
  }, [h.body]);
  return (
    <li>
      {url ? <img src={url} alt="" /> : null}
      <span>
        {h.name} <span class="quiet small">{size(h.body.size)}</span>
      </span>
      <button type="button" class="plain" aria-label={`Take ${h.name} out`} onClick={remove}>
        Take out
      </button>
    </li>
  );
}

/** size says how large a file is. */
export const size = (bytes: number) => (bytes < 1_000_000 ? `${Math.max(1, Math.round(bytes / 1000))}\u202FkB` : `${(bytes / 1_000_000).toFixed(1)}\u202FMB`);

import { useState } from "preact/hooks";
import { useLoad } from "../../api/load";
import { Unsent } from "../../outbox/Unsent";
import type { Parcel } from "../../outbox/outbox";
import { Waiting } from "../../parts/Trouble/Waiting";
import { isLater } from "../sheet/letters";
import type { Pin } from "../sheet/pins";
import { fetchRemarks, type LetterAt, type Remark } from "./fetch";
import { theWhole } from "./pins";
import { RemarkItem } from "./RemarkItem";
import { weights } from "./say";

export interface RemarksProps {
  account: number;
  at: LetterAt;
  /** Those that stand open on this letter. */
  open: Remark[];
  parcels: Parcel[];
  may: boolean;
  pinOf: (r: Remark) => Pin;
  onRaise: (pin: Pin) => void;
  /** Goes to what a remark is pinned to. */
  onGo: (pin: Pin) => void;
  changed: () => void;
}

/** Remarks are all that stand open, the heaviest first, and folded away those laid to rest. */
export function Remarks({ account, at, open, parcels, may, pinOf, onRaise, onGo, changed }: RemarksProps) {
  const item = (r: Remark) => <RemarkItem key={r.id} account={account} at={at} remark={r} pin={pinOf(r)} onGo={onGo} changed={changed} />;
  return (
    <section id="remarks" aria-labelledby="remarks-title" class="remarks">
      <h2 id="remarks-title">Remarks that stand open</h2>
      <Unsent account={account} parcels={parcels} />
      {open.length === 0 ? (
        <p>
          None. {may ? <span class="off-paper">To leave one on an input or an answer, open it below; on a part, choose it in the drawing.</span> : null}
        </p>
      ) : (
        <ul class="remark-list">{sorted(open).map(item)}</ul>
      )}
      {may ? (
        <button type="button" class="second" onClick={() => onRaise(theWhole)}>
          Leave a remark on the whole
        </button>
      ) : null}
      <Resting at={at} item={item} />
    </section>
  );
}

/** sorted puts the heaviest first, and of one weight the oldest. */
export function sorted(remarks: Remark[]): Remark[] {
  const heavy = (r: Remark) => weights.findIndex((w) => w.weight === r.weight);
  return [...remarks].sort((a, b) => heavy(a) - heavy(b) || a.id - b.id);
}

/** Resting are the remarks that were laid to rest, fetched when they are asked for. */
function Resting({ at, item }: Pick<RemarksProps, "at"> & { item: (r: Remark) => preact.JSX.Element }) {
  const [shown, setShown] = useState(false);
  return (
    <details class="fold" onToggle={(e) => setShown(e.currentTarget.open)}>
      <summary>Remarks laid to rest</summary>
      {shown ? <RestingList at={at} item={item} /> : null}
    </details>
  );
}

function RestingList({ at, item }: Pick<RemarksProps, "at"> & { item: (r: Remark) => preact.JSX.Element }) {
  const { loaded, again } = useLoad(() => fetchRemarks(at, false), [at.design]);
  if (loaded.state !== "here") {
    return <Waiting loaded={loaded} again={again} />;
  }
  const resting = loaded.data.filter((r) => r.laid_to_rest !== null && !isLater(r.letter, at.letter));
  return resting.length === 0 ? <p class="quiet">None yet.</p> : <ul class="remark-list">{resting.map(item)}</ul>;
}

import { useState } from "preact/hooks";
import { api, ask, newKey } from "../../api/client";
import { Stamp } from "../../parts/Stamp/Stamp";
import { when } from "../../words";
import type { TestEntry, TestItem } from "./fetch";
import { ItemForm, type ItemFormProps } from "./ItemForm";
import { Recorded } from "./Recorded";
import { SignAs } from "./SignAs";
import { labelOf, pointWords, roleMeans, sayLimits, sayState } from "./words";

interface ItemProps extends ItemFormProps {
  open: boolean;
  onOpen: (id: string | null) => void;
  /** The item to go on with; null where none is left. */
  next: TestItem | null;
}

/** Item is one item of the test sheet: a line, and when it is opened all of it. */
export function Item(p: ItemProps) {
  const { item, open, onOpen } = p;
  const now = item.state === "open" || item.state === "signing";
  return (
    <section class={`test-item state-${item.state}${open ? " unfolded" : ""}`} id={`item-${item.id}`} aria-labelledby={`head-${item.id}`}>
      <h3 id={`head-${item.id}`}>
        <button type="button" class="item-line" aria-expanded={open} onClick={() => onOpen(open ? null : item.id)}>
          <span class="item-name">
            <b class="item-id">{item.id}</b> {item.title}
          </span>
          <span class={now ? "item-state now" : "item-state"}>{item.state === "met" || item.state === "failed" ? <Stamp word={sayState(item)} danger={item.state === "failed"} /> : sayState(item)}</span>
        </button>
      </h3>
      {open ? <Body {...p} /> : null}
    </section>
  );
}

function Body(p: ItemProps) {
  const { item, at, next, onOpen } = p;
  const point = pointWords[item.point];
  return (
    <div class="item-body stack">
      <p class="item-do">{item.do}</p>
      <p>
        <b>Why.</b> {item.why}
      </p>
      <p class="small">
        <b>{point.name}.</b> {point.means} Signed by {item.roles.map((r) => `${r} (${roleMeans[r]})`).join(" and ")}.
      </p>
      {item.state === "waiting" || item.state === "closed" ? <Later item={item} onOpen={onOpen} /> : null}
      {item.entry ? <Recorded item={item} entry={item.entry} project={at.project} /> : null}
      <Signatures item={item} />
      {item.state === "open" ? <ItemForm key={item.id} {...p} /> : null}
      {item.state === "signing" ? <SignRecorded {...p} /> : null}
      {item.state === "failed" ? <p class="warn">{item.text}</p> : null}
      <Refused item={item} />
      {item.state === "met" && next ? (
        <button type="button" onClick={() => onOpen(next.id)}>
          Go on to {next.id}
        </button>
      ) : null}
    </div>
  );
}

/** Later is an item that can't be done now: what it waits for, and what it will ask. */
function Later({ item, onOpen }: { item: TestItem; onOpen: (id: string) => void }) {
  const first = item.waits_for[0];
  return (
    <>
      <p class="note">{item.text}</p>
      {first === undefined ? null : (
        <button type="button" class="second" onClick={() => onOpen(first)}>
          Go to {first}
        </button>
      )}
      <p class="small">To be recorded:</p>
      <ul class="small asked">
        {item.fields.flatMap((f) =>
          f.entries.map((e, i) => (
            <li key={`${f.name}-${e.label}`}>
              {labelOf(f, i)}
              {sayLimits(f, i) ? `. ${sayLimits(f, i)}` : ""}
            </li>
          )),
        )}
      </ul>
    </>
  );
}

function Signatures({ item }: { item: TestItem }) {
  if (item.signed.length === 0) {
    return null;
  }
  return (
    <ul class="signatures">
      {item.signed.map((s) => (
        <li key={s.role}>
          <b>{s.who.name}</b>, {s.role}, {when(s.at)}
          {s.how === "paper" ? ", from paper" : ""}
          {s.sent_by.id === s.who.id ? "" : <span class="quiet">, on the device of {s.sent_by.name}</span>}
        </li>
      ))}
    </ul>
  );
}

/** SignRecorded adds a signature to what somebody else recorded. */
function SignRecorded({ at, test, item, member, connected, take }: ItemProps) {
  const [key, setKey] = useState(newKey);
  const entry = item.entry?.id;
  if (entry === undefined) {
    return null;
  }
  return (
    <>
      <p>
        Read what is recorded above, and look for yourself. Still to sign: <b>{item.lacks.join(", ")}</b>.
      </p>
      {connected ? null : (
        <p class="warn">
          <b>No connection.</b> Signing needs one: go on when there is signal.
        </p>
      )}
      <SignAs
        test={test}
        item={item}
        member={member}
        word="Sign"
        sign={async (sign) => {
          const body = { entry, sign, device_at: new Date().toISOString(), client_key: key };
          const a = await ask(api.POST("/api/v1/projects/{project}/builds/{build}/tests/{test}/signatures", { params: { path: at }, body }));
          if (a.ok || a.trouble.kind !== "offline") {
            setKey(newKey());
          }
          if (a.ok) {
            take(a.data);
          }
          return a;
        }}
      />
    </>
  );
}

function Refused({ item }: { item: TestItem }) {
  if (item.refused.length === 0) {
    return null;
  }
  return (
    <details class="fold">
      <summary>{item.refused.length === 1 ? "One try did not count" : `${item.refused.length} tries did not count`}</summary>
      <ul class="small">
        {item.refused.map((e: TestEntry) => (
          <li key={e.id}>
            {when(e.at)}, {e.who.name}, as {e.role}: {e.why}
          </li>
        ))}
      </ul>
    </details>
  );
}

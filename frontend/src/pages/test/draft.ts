import { useRef, useState } from "preact/hooks";
import { newKey } from "../../api/client";
import { dropDraft, readDraft, writeDraft } from "../../forms/drafts";
import type { Texts } from "./values";

/** What was typed on one item; it stays in this browser until the item is signed. */
export interface ItemDraft {
  texts: Texts;
  set: (place: string, text: string) => void;
  /** The client key for the next try. */
  key: () => string;
  /** Takes a new key: the notebook answered, so the next try is another one. */
  renew: () => void;
  drop: () => void;
}

/** useItemDraft keeps what is typed on an item of a test sheet. */
export function useItemDraft(account: number, form: string, start: Texts): ItemDraft {
  const [kept] = useState(() => readDraft(account, form));
  const [texts, setTexts] = useState<Texts>({ ...start, ...kept?.values });
  const key = useRef(kept?.key ?? newKey());
  const newest = useRef(texts);
  const keep = () => writeDraft(account, form, { values: newest.current, base: null, key: key.current, at: new Date().toISOString() });
  return {
    texts,
    set: (place, text) => {
      newest.current = { ...newest.current, [place]: text };
      setTexts(newest.current);
      keep();
    },
    key: () => {
      keep(); // with the texts that go out under it
      return key.current;
    },
    renew: () => {
      key.current = newKey();
      keep();
    },
    drop: () => {
      dropDraft(account, form);
      key.current = newKey();
    },
  };
}

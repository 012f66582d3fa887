import { useRef, useState } from "preact/hooks";
import { newKey } from "../api/client";
import type { Trouble } from "../api/problem";
import { entriesOf, type Entry } from "../parts/ErrorSummary/ErrorSummary";
import { dropDraft, readDraft, writeDraft } from "./drafts";
import { merge, type Meeting, type Texts } from "./merge";

export type { Texts } from "./merge";

/**
 * What a try to send came to: done, faults found here, the server's trouble,
 * or somebody else was first and the page lays both side by side.
 */
export type Outcome = { done: true } | { compare: true } | { faults: Entry[] } | { trouble: Trouble };

/** What a try to send goes out with. */
export interface Try {
  /** The same for every try of the same thing. */
  key: string;
  /** The version that the texts were typed against. */
  base: string | null;
  /** Takes a new key: what the old one made is there already, and this is to be another. */
  renew: () => void;
}

export interface FormOptions<F extends string> {
  /** Names the form among the drafts of this account: "site-12". */
  id: string;
  /** Whose form it is; null keeps no draft (sign-in, passwords). */
  account: number | null;
  start: Texts<F>;
  /** Makes a draft from earlier fit the form as it stands today. */
  revive?: (kept: Record<string, string>) => Record<string, string>;
  /** The version that start was read at. */
  base?: string | null;
  /** Sends the texts. */
  send: (texts: Texts<F>, try_: Try) => Promise<Outcome>;
  /** The field of a JSON Pointer into the request; by default "/title" is "title". */
  fieldOf?: (pointer: string) => string | undefined;
}

/** What is wrong after the last try. */
export interface Failure {
  title: string;
  detail: string;
  entries: Entry[];
  reference: string | null;
  trouble: Trouble | null;
}

export interface Form<F extends string> {
  texts: Texts<F>;
  set: (field: F, text: string) => void;
  failure: Failure | null;
  /** The fault of one field, in the words of the summary. */
  fault: (field: F) => string | undefined;
  /** Counts the tries, for the summary to take the focus. */
  attempt: number;
  busy: boolean;
  /** When the texts come from a draft: since when. */
  draftFrom: string | null;
  /** The version that the texts were typed against. */
  base: string | null;
  /** Goes on from a newer version: what only the other one changed follows it, the rest stays as typed. */
  meet: (theirs: Texts<F>, base: string | null) => Meeting<F>;
  /** Throws the draft away and starts from what the server has. */
  startOver: () => void;
  submit: (e: Event) => Promise<void>;
}

/** useForm holds a form's texts, keeps them as a draft, sends them, and sorts what came back to its fields. */
export function useForm<F extends string>(o: FormOptions<F>): Form<F> {
  const [kept] = useState(() => (o.account === null ? null : readDraft(o.account, o.id)));
  const [texts, setTexts] = useState<Texts<F>>(() => ({ ...o.start, ...(kept && o.revive ? o.revive(kept.values) : kept?.values) }));
  const [draftFrom, setDraftFrom] = useState(kept?.at ?? null);
  const [base, setBase] = useState(kept ? kept.base : (o.base ?? null));
  const [failure, setFailure] = useState<Failure | null>(null);
  const [attempt, setAttempt] = useState(0);
  const [busy, setBusy] = useState(false);
  const key = useRef(kept?.key ?? newKey());
  const sending = useRef(false);
  const from = useRef<Texts<F> | null>(kept && kept.base !== (o.base ?? null) && !kept.from ? null : { ...o.start, ...(kept?.from && o.revive ? o.revive(kept.from) : kept?.from) });
  const newest = useRef(texts); // what is typed while a request is under way counts too

  const keep = (values: Texts<F>, on: string | null) => {
    if (o.account !== null) {
      writeDraft(o.account, o.id, { values, ...(from.current ? { from: from.current } : {}), base: on, key: key.current, at: new Date().toISOString() });
    }
  };
  const forget = () => {
    if (o.account !== null) {
      dropDraft(o.account, o.id);
    }
    setDraftFrom(null);
  };
  const renew = () => {
    key.current = newKey();
    keep(newest.current, base);
  };
  const fail = (f: Failure) => {
    setFailure(f);
    setAttempt((n) => n + 1);
  };

  return {
    texts,
    failure,
    attempt,
    busy,
    draftFrom,
    base,
    set: (field, text) => {
      const next = { ...newest.current, [field]: text };
      newest.current = next;
      setTexts(next);
      keep(next, base);
    },
    fault: (field) => failure?.entries.find((e) => e.field === field)?.message,
    meet: (theirs, on) => {
      const met = merge(newest.current, from.current, theirs);
      newest.current = met.texts;
      from.current = theirs;
      setTexts(met.texts);
      setBase(on);
      setFailure(null);
      keep(met.texts, on);
      return met;
    },
    startOver: () => {
      forget();
      from.current = o.start;
      newest.current = o.start;
      setTexts(o.start);
      setBase(o.base ?? null);
      setFailure(null);
    },
    submit: async (e) => {
      e.preventDefault();
      if (sending.current) {
        return; // a second press of an impatient thumb
      }
      sending.current = true;
      setBusy(true);
      const outcome = await o.send(newest.current, { key: key.current, base, renew });
      sending.current = false;
      setBusy(false);
      if ("done" in outcome) {
        forget();
        setFailure(null);
      } else if ("compare" in outcome) {
        setFailure(null);
      } else {
        fail(failureOf(outcome, o.fieldOf ?? fieldByName));
      }
    },
  };
}

function fieldByName(pointer: string): string | undefined {
  return /^\/(\w+)$/.exec(pointer)?.[1];
}

/** failureOf puts an outcome into the words of the page. */
export function failureOf(outcome: { faults: Entry[] } | { trouble: Trouble }, fieldOf: (pointer: string) => string | undefined): Failure {
  if ("faults" in outcome) {
    const n = outcome.faults.length;
    const title = n === 1 ? "One thing needs another look. Nothing was saved yet." : `${n} things need another look. Nothing was saved yet.`;
    return { title, detail: "", entries: outcome.faults, reference: null, trouble: null };
  }
  const { trouble } = outcome;
  return {
    title: trouble.title,
    detail: trouble.detail,
    entries: entriesOf(trouble, fieldOf),
    reference: trouble.kind === "broken" ? trouble.reference : null,
    trouble,
  };
}

import { useEffect, useState } from "preact/hooks";
import { api, ask, type Answer } from "../../api/client";
import type { Fault, Trouble } from "../../api/problem";
import type { Member } from "../../api/session";
import { Dialog } from "../../parts/Dialog/Dialog";
import { Field } from "../../parts/Field/Field";
import { TextField } from "../../parts/Field/TextField";
import { useItemDraft } from "./draft";
import type { Test, TestAddress, TestItem } from "./fetch";
import { idOf, ItemField } from "./Fields";
import { usePictures } from "./pictures";
import { SignAs, type Signing } from "./SignAs";
import { placeOf, placesOf, valuesOf, type Texts } from "./values";

export interface ItemFormProps {
  at: TestAddress;
  test: Test;
  item: TestItem;
  member: Member;
  connected: boolean;
  take: (t: Test) => void;
}

/** How an item is recorded: where it was read, off a signed paper, or that it can't be met. */
type Way = "here" | "paper" | "stop";

/** The place of the photograph of a signed paper among the pictures of an item. */
const paperPlace = "paper";

/** ItemForm records an item and signs it, in one. */
export function ItemForm({ at, test, item, member, connected, take }: ItemFormProps) {
  const form = `test-${at.build}-${at.test}-${item.id}`;
  const draft = useItemDraft(member.id, form, startOf(test, item));
  const pictures = usePictures(member.id, at.project, `${at.build}/${at.test}/${item.id}`, connected);
  const paper = useItemDraft(member.id, `test-${at.build}-${at.test}-paper`, {}); // one paper has many items
  const photograph = pictures.taken.find((t) => t.place === paperPlace)?.id ?? null;
  useEffect(() => {
    if (photograph !== null) {
      paper.set("file", String(photograph));
    }
  }, [photograph]);
  const [way, setWay] = useState<Way>("here");
  const [faults, setFaults] = useState<Fault[]>([]);
  const [slip, setSlip] = useState<Trouble | null>(null);
  const places = placesOf(item, draft.texts);
  const faultOf = (place: string) => faults.find((f) => placeOf(f.pointer, item) === place || f.pointer === `/${place}`)?.message;

  const refuse = (trouble: Trouble): Answer<unknown> => {
    setFaults(trouble.faults);
    return { ok: false, trouble };
  };
  const sign = async (signing: Signing, sure: boolean): Promise<Answer<unknown>> => {
    setFaults([]);
    const made = bodyOf(item, draft.texts, await pictures.settled(), way, paper.texts);
    if ("faults" in made) {
      return refuse(local(made.faults));
    }
    const body = { ...made.body, item: item.id, sign: signing, device_at: new Date().toISOString(), client_key: draft.key(), ...(sure ? { sure } : {}) };
    const a = await ask(api.POST("/api/v1/projects/{project}/builds/{build}/tests/{test}/entries", { params: { path: at }, body }));
    if (!a.ok && a.trouble.kind === "offline") {
      return a; // it may have arrived: the next try goes out under the same key
    }
    draft.renew();
    if (!a.ok) {
      setSlip(a.trouble.code === "outside-limits" ? a.trouble : null);
      return refuse(a.trouble);
    }
    const now = a.data.items.find((i) => i.id === item.id);
    const kept = now?.state === "open" ? now.refused.at(-1) : undefined;
    if (kept && a.status === 200) {
      return refuse(local([], kept.why)); // the answer of the try before was lost
    }
    draft.drop();
    pictures.clear();
    take(a.data);
    return a;
  };

  const fieldOf = (pointer: string) => {
    const place = placeOf(pointer, item);
    return place === undefined ? undefined : idOf(item, place);
  };
  return (
    <div class="item-form stack">
      {way === "stop" ? (
        <Stop item={item} text={draft.texts["stop"] ?? ""} onText={(t) => draft.set("stop", t)} fault={faults.find((f) => f.pointer === "/stop")?.message} />
      ) : (
        <>
          {places.map((place) => (
            <ItemField key={place.key} test={test} item={item} place={place} texts={draft.texts} set={draft.set} pictures={pictures} fault={faultOf(place.key)} />
          ))}
          {item.asks.map((a) => (
            <Asked key={a.name} item={item} name={a.name} text={a.text} answer={draft.texts[`ask-${a.name}`] ?? ""} set={draft.set} />
          ))}
        </>
      )}
      {way === "paper" ? <FromPaper {...{ test, item, faults, pictures }} paper={paper.texts} set={paper.set} /> : null}
      {pictures.fault ? (
        <p class="warn" role="alert">
          {pictures.fault}
        </p>
      ) : null}
      {connected ? null : (
        <p class="warn">
          <b>No connection.</b> What you typed is kept in this browser. Signing needs a connection: go on when there is one, or sign the print by hand and enter it within 24 hours.
        </p>
      )}
      <SignAs test={test} item={item} member={member} word={way === "stop" ? "Sign, and end this test" : way === "paper" ? "Sign what the paper says" : "Sign"} sign={(s) => sign(s, false)} fieldOf={fieldOf} />
      <div class="row ways">
        {way === "here" ? null : (
          <button type="button" class="plain" onClick={() => setWay("here")}>
            Back to recording it here
          </button>
        )}
        {way === "here" ? (
          <button type="button" class="plain" onClick={() => setWay("paper")}>
            It was signed on paper
          </button>
        ) : null}
        {way === "here" && test.ended === null && item.stage !== "release" && !item.after_failure ? (
          <button type="button" class="plain" onClick={() => setWay("stop")}>
            It can’t be met
          </button>
        ) : null}
      </div>
      {slip ? (
        <Dialog title="Is it really so?" closeWord="A finger slipped: correct it" onClose={() => setSlip(null)}>
          <div class="stack slip">
            {slip.faults.map((f) => (
              <p key={f.pointer}>
                <b>{f.message}</b>
              </p>
            ))}
            <p>If it is so, this test ends here. Letting the pressure go and recording the failure are left, and a new test sheet is needed afterwards.</p>
            <SignAs
              test={test}
              item={item}
              member={member}
              of="-sure"
              word="It is so: sign, and end this test"
              sign={async (s) => {
                const a = await sign(s, true);
                if (a.ok) {
                  setSlip(null);
                }
                return a;
              }}
            />
          </div>
        </Dialog>
      ) : null}
    </div>
  );
}

/** startOf is what stands in the fields before anything is typed: only what the notebook works out itself. */
function startOf(test: Test, item: TestItem): Texts {
  const latest = test.names["expiry_max"];
  return typeof latest === "string" && item.fields.some((f) => f.name === "expires_on") ? { expires_on: latest } : {};
}

const local = (faults: Fault[], detail = ""): Trouble => ({
  kind: "invalid",
  title: detail === "" ? "This can’t be signed yet. Nothing was sent." : "This was refused.",
  detail,
  faults,
  reference: null,
  code: "local",
});

type Made = { values: Record<string, unknown>; stop?: string; from_paper?: { at: string; file: number } };

/** bodyOf makes of what was typed what is sent, or says what is wrong with it. */
function bodyOf(item: TestItem, texts: Texts, taken: Parameters<typeof valuesOf>[2], way: Way, paper: Texts): { body: Made } | { faults: Fault[] } {
  const stop = (texts["stop"] ?? "").trim();
  if (way === "stop") {
    return stop === "" ? { faults: [{ pointer: "/stop", code: "missing", message: "Say why it can’t be met." }] } : { body: { values: {}, stop } };
  }
  const read = valuesOf(item, texts, taken);
  const faults = "faults" in read ? [...read.faults] : [];
  if (way === "here") {
    return "faults" in read ? { faults } : { body: read };
  }
  const at = new Date(paper["at"] ?? "");
  const taking = taken.find((t) => t.place === paperPlace);
  const file = taking ? taking.id : paper["file"] ? Number(paper["file"]) : null;
  if (Number.isNaN(at.getTime())) {
    faults.push({ pointer: "/from_paper/at", code: "missing", message: "Type the day and time that stand on the paper." });
  }
  if (file === null) {
    faults.push({ pointer: "/from_paper/file", code: "missing", message: taking ? "The photograph is not sent yet." : "Photograph the signed paper." });
  }
  return "faults" in read || faults.length > 0 || file === null ? { faults } : { body: { ...read, from_paper: { at: at.toISOString(), file } } };
}

function Stop({ item, text, onText, fault }: { item: TestItem; text: string; onText: (t: string) => void; fault: string | undefined }) {
  return (
    <>
      <p class="warn">
        <b>This ends the test.</b> Letting the pressure go and recording the failure are left. Once it is dealt with, a new test sheet is begun.
      </p>
      <TextField name={idOf(item, "stop")} label="Why it can’t be met" long text={text} onText={onText} fault={fault} />
    </>
  );
}

function Asked({ item, name, text, answer, set }: { item: TestItem; name: string; text: string; answer: string; set: (place: string, text: string) => void }) {
  const place = `ask-${name}`;
  return (
    <fieldset class="field" id={idOf(item, place)} tabIndex={-1}>
      <legend>{text}</legend>
      {["yes", "no"].map((a) => (
        <label class="tick" key={a}>
          <input type="radio" name={idOf(item, place)} checked={answer === a} onChange={() => set(place, a)} />
          <span>{a}</span>
        </label>
      ))}
    </fieldset>
  );
}

interface FromPaperProps {
  test: Test;
  item: TestItem;
  faults: Fault[];
  pictures: ReturnType<typeof usePictures>;
  /** What was entered of this paper before. */
  paper: Texts;
  set: (place: string, text: string) => void;
}

/** FromPaper asks when the print was signed, and for its photograph. */
function FromPaper({ test, item, faults, pictures, paper, set }: FromPaperProps) {
  const fault = (name: string) => faults.find((f) => f.pointer === `/from_paper/${name}`)?.message;
  const field = { name: "Photograph of the signed paper", kind: "photo" as const, unit: "", only_if: null, when: "", values: [], needs: [], confirm: null, ticks: null, repeats: false, entries: [] };
  return (
    <>
      <p>
        Within 24 hours the same people enter what they signed by hand, each with their own code. Type above what the paper says. It is marked <i>from paper</i>.
      </p>
      <Field name={idOf(item, "paper-at")} label="Day and time on the paper" hint="By the clock of this device." fault={fault("at")}>
        {(control) => <input {...control} type="datetime-local" value={paper["at"] ?? ""} onInput={(e) => set("at", e.currentTarget.value)} />}
      </Field>
      {paper["file"] && !pictures.taken.some((t) => t.place === paperPlace) ? <p>The photograph that was entered last is used again, unless you take another.</p> : null}
      <ItemField test={test} item={item} place={{ key: paperPlace, field, entry: 0 }} texts={{}} set={() => undefined} pictures={pictures} fault={fault("file")} />
    </>
  );
}

import { useState } from "preact/hooks";
import { sendAsMember, newKey } from "../../api/client";
import type { Trouble } from "../../api/problem";
import { putAll } from "../../outbox/outbox";
import { TextField } from "../../parts/Field/TextField";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import { useItemDraft } from "../test/draft";
import type { Setting } from "./fetch";
import { pointParcel, type PointRef, type Sending } from "./parcels";
import { newName, repeatOf, settingMeans, settingWords } from "./words";

interface AddPointProps {
  sending: Sending;
  points: PointRef[];
  added: (name: string) => void;
}

const order: Setting[] = ["as_drawn", "shut", "held", "open", "all"];

const isSetting = (text: string | undefined): text is Setting => order.some((s) => s === text);

/** AddPoint adds an operating point: how the air is taken there, and a name. It needs no signal. */
export function AddPoint({ sending, points, added }: AddPointProps) {
  const draft = useItemDraft(sending.account, `run-${sending.build}-${sending.run}-point`, {});
  const [open, setOpen] = useState(points.length === 0);
  const [fault, setFault] = useState("");
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const names = points.map((p) => p.name);
  const chosen = draft.texts["setting"];
  const setting = isSetting(chosen) ? chosen : points.length === 0 ? "as_drawn" : "shut";
  const typed = (draft.texts["name"] ?? "").trim();
  const name = typed || newName(setting, names);
  const again = repeatOf(points);

  const send = async (p: { name: string; setting: Setting; note: string }, key: string) => {
    const parcel = pointParcel(sending, p.name, p.setting, p.note, key);
    const a = (await putAll(sending.account, [parcel])) ? null : await sendAsMember(parcel.path, parcel.body);
    if (a && !a.ok) {
      setTrouble(a.trouble);
      return;
    }
    draft.drop();
    setFault("");
    setTrouble(null);
    setOpen(false);
    ["name", "note", "setting"].forEach((place) => draft.set(place, ""));
    draft.drop();
    added(p.name);
  };
  const submit = (e: Event) => {
    e.preventDefault();
    if (names.some((n) => n.toLowerCase() === name.toLowerCase())) {
      setFault("There is a point of this name. Take another name, so that nobody mixes them up.");
      return;
    }
    void send({ name, setting, note: (draft.texts["note"] ?? "").trim() }, draft.key());
  };
  if (!open) {
    return (
      <div class="row add-point off-paper">
        {again ? (
          <button type="button" class="second" onClick={() => void send({ ...again, note: "" }, newKey())}>
            Repeat “{points[0]?.name}”
          </button>
        ) : null}
        <button type="button" class="second" onClick={() => setOpen(true)}>
          Add a point
        </button>
        {again ? <p class="small">Repeat the first point before you pack up: it shows whether anything drifted meanwhile.</p> : null}
        {trouble ? <TroubleNote trouble={trouble} /> : null}
      </div>
    );
  }
  return (
    <form class="stack add-point off-paper" noValidate onSubmit={submit} aria-label="New point">
      <h3>{points.length === 0 ? "The first point" : "Another point"}</h3>
      {trouble ? <TroubleNote trouble={trouble} /> : null}
      <fieldset>
        <legend>How the air is taken</legend>
        {order.map((s) => (
          <label class="tick" key={s}>
            <input type="radio" name="point-setting" checked={s === setting} onChange={() => draft.set("setting", s)} />
            <span>
              {settingWords[s].charAt(0).toUpperCase() + settingWords[s].slice(1)}. <span class="quiet small">{settingMeans[s]}</span>
            </span>
          </label>
        ))}
      </fieldset>
      {setting === "shut" ? (
        <p class="warn">
          <b>Stored energy.</b> Nobody inside the distance while the valve is shut. Open it slowly afterwards, from aside.
        </p>
      ) : null}
      <TextField name="point-name" label="What you call it" hint={`Empty: “${newName(setting, names)}”.`} optional text={draft.texts["name"] ?? ""} onText={(t) => draft.set("name", t)} {...(fault ? { fault } : {})} />
      <TextField name="point-note" label="Note" optional text={draft.texts["note"] ?? ""} onText={(t) => draft.set("note", t)} />
      <div class="row">
        <button type="submit">Add this point</button>
        {points.length > 0 ? (
          <button type="button" class="plain" onClick={() => setOpen(false)}>
            Not now
          </button>
        ) : null}
      </div>
    </form>
  );
}

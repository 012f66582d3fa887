import { useState } from "preact/hooks";
import { api, ask } from "../../api/client";
import type { Units } from "../../api/session";
import { useForm, type Outcome } from "../../forms/form";
import { Diff } from "../../parts/Diff/Diff";
import { DraftNote } from "../../parts/Field/DraftNote";
import { Field } from "../../parts/Field/Field";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { fetchGroup, type Group } from "./Page";
import { unitNames } from "./words";

type SettingName = "name" | "units" | "time_zone";

const names: Record<SettingName, string> = { name: "Name of the group", units: "Units", time_zone: "Time zone" };

interface SettingsProps {
  account: number;
  group: Group;
  etag: string;
  changed: () => void;
}

/** Settings are what holds for the whole group; who may changes them here. */
export function Settings(props: SettingsProps) {
  const { group } = props;
  return (
    <section aria-labelledby="settings-title">
      <h2 id="settings-title">Settings</h2>
      {group.allowed_actions.includes("set_group") ? (
        <SettingsForm {...props} />
      ) : (
        <dl class="role-words">
          <div>
            <dt>{names.name}</dt>
            <dd>{group.name || "none yet"}</dd>
          </div>
          <div>
            <dt>{names.units}</dt>
            <dd>{unitNames[group.units]}</dd>
          </div>
          <div>
            <dt>{names.time_zone}</dt>
            <dd>{group.time_zone}</dd>
          </div>
        </dl>
      )}
    </section>
  );
}

function settingsOf(group: Group): Record<SettingName, string> {
  return { name: group.name, units: group.units, time_zone: group.time_zone };
}

function isUnits(text: string): text is Units {
  return text in unitNames;
}

function SettingsForm({ account, group, etag, changed }: SettingsProps) {
  const [start] = useState(() => settingsOf(group));
  const [newer, setNewer] = useState<{ texts: Record<SettingName, string>; taken: SettingName[]; both: SettingName[] } | null>(null);
  const put = async (texts: Record<SettingName, string>, base: string): Promise<Outcome> => {
    if (!isUnits(texts.units)) {
      return { faults: [{ field: "units", message: "Choose the units." }] };
    }
    const body = { name: texts.name.trim(), units: texts.units, time_zone: texts.time_zone.trim() };
    const a = await ask(api.PUT("/api/v1/group/settings", { params: { header: { "If-Match": base } }, body }));
    if (a.ok) {
      changed();
      return { done: true };
    }
    const now = a.trouble.kind === "stale" ? await fetchGroup() : null;
    if (!now?.ok) {
      return { trouble: a.trouble };
    }
    const theirs = settingsOf(now.data);
    if (now.etag !== null && now.etag !== base && JSON.stringify(theirs) === JSON.stringify(start)) {
      return put(texts, now.etag); // the other one changed a role or an account, not what is typed here
    }
    const { taken, both } = form.meet(theirs, now.etag);
    setNewer({ texts: theirs, taken, both });
    return { compare: true };
  };
  const form = useForm<SettingName>({ id: "group-settings", account, start, base: etag, send: (texts, { base }) => put(texts, base ?? etag) });
  return (
    <form class="stack" noValidate onSubmit={form.submit} aria-label="Settings of the group">
      <FormSummary form={form} />
      {newer ? (
        <Diff
          by="Another keeper"
          rows={newer.both
            .filter((f) => form.texts[f] !== newer.texts[f])
            .map((field) => ({ field, name: names[field], mine: form.texts[field], theirs: newer.texts[field] }))}
          taken={newer.taken.map((f) => `${names[f]}: ${newer.texts[f]}`)}
          onTake={(f) => form.set(f, newer.texts[f])}
          onClose={() => setNewer(null)}
        />
      ) : null}
      <DraftNote form={form} />
      <TextField name="name" label={names.name} text={form.texts.name} onText={(t) => form.set("name", t)} fault={form.fault("name")} />
      <Field name="units" label={names.units} hint="Members may choose their own. Everything is kept in SI." fault={form.fault("units")}>
        {(control) => (
          <select {...control} value={form.texts.units} onChange={(e) => form.set("units", e.currentTarget.value)}>
            {Object.entries(unitNames).map(([value, name]) => (
              <option key={value} value={value}>
                {name}
              </option>
            ))}
          </select>
        )}
      </Field>
      <Field
        name="time_zone"
        label={names.time_zone}
        hint="By its name, such as Europe/Oslo, America/Denver or UTC. Dates begin and end there."
        fault={form.fault("time_zone")}
      >
        {(control) => (
          <>
            <input
              {...control}
              type="text"
              list="time-zones"
              autocomplete="off"
              spellcheck={false}
              value={form.texts.time_zone}
              onInput={(e) => form.set("time_zone", e.currentTarget.value)}
            />
            <datalist id="time-zones">
              {zones().map((zone) => (
                <option key={zone} value={zone} />
              ))}
            </datalist>
          </>
        )}
      </Field>
      <button type="submit" aria-disabled={form.busy}>
        Save the settings
      </button>
    </form>
  );
}

/** The time zones that this browser can name; the server knows more. */
function zones(): string[] {
  return "supportedValuesOf" in Intl ? Intl.supportedValuesOf("timeZone") : [];
}

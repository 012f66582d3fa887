import { useState } from "preact/hooks";
import { Link, useLocation } from "wouter-preact";
import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { useForm, type Outcome } from "../../forms/form";
import { DraftNote } from "../../parts/Field/DraftNote";
import { Field } from "../../parts/Field/Field";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { PageFrame } from "../../parts/PageFrame/PageFrame";
import { Waiting } from "../../parts/Trouble/Waiting";
import { fetchVersions } from "./Page";
import { read } from "./read";
import "./page.css";

type List = Schema<"TemplateList">;

/** ProposePage is where a keeper proposes another version of the procedure. */
export default function ProposePage({ account }: { account: number }) {
  const { loaded, again } = useLoad<List>(() => fetchVersions(), []);
  return (
    <PageFrame
      title="Propose a version of the test procedure"
      trail={[
        { href: "/group", name: "Group" },
        { href: "/group/procedure", name: "Test procedure" },
      ]}
    >
      {loaded.state !== "here" ? (
        <Waiting loaded={loaded} again={again} />
      ) : loaded.data.allowed_actions.includes("propose_template") ? (
        <ProposeForm account={account} list={loaded.data} />
      ) : (
        <p class="warn">Only a keeper of the group proposes a version. Ask one; as a member you can sign what they propose.</p>
      )}
    </PageFrame>
  );
}

function ProposeForm({ account, list }: { account: number; list: List }) {
  const [, go] = useLocation();
  const [start] = useState({ body: "", why: "" });
  const inForce = list.items.find((t) => t.state === "in_force")?.version ?? 1;
  const next = (list.items[0]?.version ?? 1) + 1;
  const form = useForm<"body" | "why">({
    id: `procedure-${next}`,
    account,
    start,
    send: async (texts, { key }): Promise<Outcome> => {
      const a = await ask(api.POST("/api/v1/templates", { body: { follows: inForce, ...texts, client_key: key } }));
      if (!a.ok) {
        return { trouble: a.trouble };
      }
      go(`/group/procedure/${a.data.version}`);
      return { done: true };
    },
  });
  const found = read(form.texts.body).items.length;
  return (
    <form class="stack" noValidate onSubmit={form.submit} aria-label="Version of the test procedure">
      <FormSummary form={form} />
      <DraftNote form={form} />
      <ol class="stack">
        <li>
          Open <Link href={`/group/procedure/${inForce}`}>version {inForce}</Link>, which is in force, and take its text as a file.
        </li>
        <li>
          Change it in any text editor. Write <code>&quot;version&quot;: {next}</code> into it. Items, records and signers may be added, limits tightened; nothing may be taken
          away.
        </li>
        <li>Choose the file here, or paste its text.</li>
      </ol>
      <Field name="file" label="File" optional>
        {(control) => (
          <input
            {...control}
            type="file"
            accept=".json,application/json"
            onChange={(e) => {
              void e.currentTarget.files?.[0]?.text().then((text) => form.set("body", text));
            }}
          />
        )}
      </Field>
      <TextField
        name="body"
        label="Text"
        long
        text={form.texts.body}
        onText={(t) => form.set("body", t)}
        fault={form.fault("body")}
        note={form.texts.body === "" ? "" : found === 0 ? "No items are found in it yet." : `${found} items are found in it.`}
      />
      <TextField name="why" label="Why" hint="Who signs reads it, and it stays on the record." long text={form.texts.why} onText={(t) => form.set("why", t)} fault={form.fault("why")} />
      <p class="quiet">Nothing changes yet: a steward and a second member sign first. You may be one of them.</p>
      <button type="submit" aria-disabled={form.busy}>
        Propose it
      </button>
    </form>
  );
}

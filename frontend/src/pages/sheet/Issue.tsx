import { api, ask, type Schema } from "../../api/client";
import { useLoad } from "../../api/load";
import { useForm, type Outcome } from "../../forms/form";
import { Dialog } from "../../parts/Dialog/Dialog";
import { FormSummary } from "../../parts/Field/FormSummary";
import { TextField } from "../../parts/Field/TextField";
import { Waiting } from "../../parts/Trouble/Waiting";
import "../check/choices.css";
import { fetchCheck, step, type Check } from "../check/fetch";
import { sayOpen } from "../check/say";

interface IssueProps {
  account: number;
  design: Schema<"Design">;
  /** What is typed is what was saved last. */
  asSaved: boolean;
  onIssued: () => void;
  onClose: () => void;
}

/** Issue gives the last sheet of a draft to other eyes, after saying what that means and what still hinders it. */
export function Issue({ account, design, asSaved, onIssued, onClose }: IssueProps) {
  const { letter, sheet_count } = design.revision;
  return (
    <Dialog title={`Issue ${letter}.${sheet_count} for check`} onClose={onClose} closeWord="Not yet">
      {asSaved ? (
        <Asked account={account} design={design} onIssued={onIssued} />
      ) : (
        <p class="warn">
          <b>What you typed last is not saved.</b> Save the sheet first, so that the others check what you see.
        </p>
      )}
    </Dialog>
  );
}

/** Asked finds out what hinders the issue and who may check, just before. */
function Asked({ account, design, onIssued }: Omit<IssueProps, "asSaved" | "onClose">) {
  const at = { project: design.project, design: design.id, letter: design.revision.letter };
  const { loaded, again } = useLoad<Check>(() => fetchCheck(at), []);
  if (loaded.state !== "here") {
    return <Waiting loaded={loaded} again={again} />;
  }
  const check = loaded.data;
  if (check.lacks.length > 0) {
    return (
      <>
        <p>It can’t be issued yet:</p>
        <ul>
          {check.lacks.map((l) => (
            <li key={l}>{l}</li>
          ))}
        </ul>
        <p>It is a legitimate draft all the same, and stays saved.</p>
      </>
    );
  }
  return <IssueForm account={account} design={design} check={check} etag={loaded.etag} onIssued={onIssued} again={again} />;
}

interface IssueFormProps extends Omit<IssueProps, "asSaved" | "onClose"> {
  check: Check;
  etag: string | null;
  again: () => void;
}

function IssueForm({ account, design, check, etag, onIssued, again }: IssueFormProps) {
  const { letter, sheet_count: number } = design.revision;
  const at = { project: design.project, design: design.id, letter };
  const send = async (texts: Record<string, string>): Promise<Outcome> => {
    const body = { sheet: number, note: texts["note"] ?? "", ask: check.may_check.filter((p) => texts[asked(p.id)] === "yes").map((p) => p.id) };
    const post = ask(api.POST("/api/v1/projects/{project}/designs/{design}/revisions/{letter}/issue", { params: { path: at, header: { "If-Match": etag ?? "" } }, body }));
    const a = await step(at, post, (now) => now.issue?.sheet === number && now.issue.issued_by.id === account);
    if (a.ok) {
      onIssued();
      return { done: true };
    }
    if (a.trouble.kind === "stale") {
      again();
    }
    return { trouble: a.trouble };
  };
  const form = useForm<string>({ id: `issue-${design.id}-${letter}`, account, start: { note: "" }, send, fieldOf: (pointer) => (pointer === "/note" ? "issue-note" : undefined) });
  const need = design.sheet?.report.build?.checkers ?? 1;
  const open = sayOpen(check.open_remarks);
  return (
    <form class="stack" noValidate onSubmit={form.submit} aria-label="Issue for check">
      <FormSummary form={form} />
      <p>
        Letter {letter} is frozen with it. {need === 1 ? "One checker who is" : `${need === 2 ? "Two" : need} checkers who are`} not on your crew must say clear before anybody builds from it. You can take it
        back until the first of them has said something.
      </p>
      {open ? <p>{open} Queries and stoppers must be laid to rest before it is cleared.</p> : null}
      {check.may_check.length < need ? (
        <p class="warn">
          <b>Too few may check it.</b> {check.may_check.length === 0 ? "Nobody in the group may." : ""} It takes checkers who never were on this crew. A keeper can give somebody the role.
        </p>
      ) : null}
      {check.may_check.length > 0 ? (
        <fieldset class="choices">
          <legend>Whom do you ask?</legend>
          <p class="hint">Nobody ticked: everybody who may.</p>
          {check.may_check.map((p) => (
            <label key={p.id}>
              <input type="checkbox" checked={form.texts[asked(p.id)] === "yes"} onChange={(e) => form.set(asked(p.id), e.currentTarget.checked ? "yes" : "")} />
              <span>{p.name}</span>
            </label>
          ))}
        </fieldset>
      ) : null}
      <TextField name="issue-note" label="What they should look at" long text={form.texts["note"] ?? ""} onText={(t) => form.set("note", t)} fault={form.failure?.entries.find((e) => e.field === "issue-note")?.message} optional />
      <button type="submit" aria-disabled={form.busy}>
        {form.busy ? "Issuing …" : `Issue ${letter}.${number}`}
      </button>
    </form>
  );
}

const asked = (id: number) => `ask-${id}`;

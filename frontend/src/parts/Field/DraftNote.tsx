import type { Form } from "../../forms/form";
import { when } from "../../words";

/** DraftNote says that the texts are from earlier and not sent, and offers to start over. */
export function DraftNote<F extends string>({ form }: { form: Form<F> }) {
  if (form.draftFrom === null) {
    return null;
  }
  return (
    <div class="draft-note">
      <p>
        <b>Not sent yet.</b> This is what you typed here until {when(form.draftFrom)}.
      </p>
      <button type="button" class="plain" onClick={form.startOver}>
        Throw it away and start over
      </button>
    </div>
  );
}

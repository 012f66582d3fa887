import type { Form } from "../../forms/form";
import { ErrorSummary } from "../ErrorSummary/ErrorSummary";

/** FormSummary is the summary of a form's last failed try; nothing while there is none. */
export function FormSummary<F extends string>({ form }: { form: Form<F> }) {
  if (!form.failure) {
    return null;
  }
  const { title, detail, entries, reference } = form.failure;
  return <ErrorSummary title={title} detail={detail} entries={entries} reference={reference} attempt={form.attempt} />;
}

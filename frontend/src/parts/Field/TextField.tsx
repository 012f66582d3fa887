import { Field, type FieldProps } from "./Field";

type TextFieldProps = Omit<FieldProps, "children"> & {
  text: string;
  onText: (text: string) => void;
  type?: "text" | "email" | "password";
  autocomplete?: string;
  /** More than one line. */
  long?: boolean;
};

/** TextField is a field of words. */
export function TextField({ text, onText, type = "text", autocomplete = "off", long = false, ...field }: TextFieldProps) {
  return (
    <Field {...field}>
      {(control) =>
        long ? (
          <textarea {...control} value={text} onInput={(e) => onText(e.currentTarget.value)} />
        ) : (
          <input {...control} type={type} autocomplete={autocomplete} value={text} onInput={(e) => onText(e.currentTarget.value)} />
        )
      }
    </Field>
  );
}

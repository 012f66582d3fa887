import { Field, type FieldProps } from "./Field";

type TextFieldProps = Omit<FieldProps, "children"> & {
  text: string;
  onText: (text: string) => void;
  type?: "text" | "email" | "password";
  autocomplete?: string;
  /** More than one line. */
  long?: boolean;
  /** Digits only: a phone shows its keypad. */
  digits?: boolean;
};

/** TextField is a field of words. */
export function TextField({ text, onText, type = "text", autocomplete = "off", long = false, digits = false, ...field }: TextFieldProps) {
  return (
    <Field {...field}>
      {(control) =>
        long ? (
          <textarea {...control} value={text} onInput={(e) => onText(e.currentTarget.value)} />
        ) : (
          <input {...control} type={type} {...(digits ? { inputMode: "numeric" as const } : {})} autocomplete={autocomplete} value={text} onInput={(e) => onText(e.currentTarget.value)} />
        )
      }
    </Field>
  );
}

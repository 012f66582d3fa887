/** What somebody types who comes in with a code. */
export type NewAccount = Record<"code" | "name" | "address" | "password", string>;

export const noAccount: NewAccount = { code: "", name: "", address: "", password: "" };

/** accountOf makes the request from what was typed, or says what is missing. A password is sent as it was typed. */
export function accountOf(texts: NewAccount, codeMissing: string): { body: NewAccount } | { faults: { field: keyof NewAccount; message: string }[] } {
  const missing: NewAccount = {
    code: codeMissing,
    name: "Type your name.",
    address: "Type your e-mail address.",
    password: "Choose a password of 12 to 128 characters.",
  };
  const faults = (["code", "name", "address", "password"] as const).filter((f) => texts[f].trim() === "").map((f) => ({ field: f, message: missing[f] }));
  return faults.length > 0 ? { faults } : { body: { code: texts.code.trim(), name: texts.name.trim(), address: texts.address.trim(), password: texts.password } };
}

/** passwordNote counts along while a password is still too short or has grown too long. */
export function passwordNote(password: string): string {
  const n = Array.from(password).length;
  if (n === 0) {
    return "";
  }
  if (n < 12) {
    return `${n} of at least 12 characters`;
  }
  return n > 128 ? `${n} characters: at most 128 are taken` : `${n} characters: long enough`;
}

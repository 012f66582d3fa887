import { useState } from "preact/hooks";
import type { Trouble } from "../../api/problem";
import { TroubleNote } from "../../parts/Trouble/TroubleNote";
import type { Ref } from "../sheet/refs";
import { fetchCSV, type Lengths } from "./fetch";

const files = { "parts.csv": "Parts list as CSV", "cuts.csv": "Cutting plan as CSV" } as const;

/** Downloads are the lists as files for a spreadsheet. */
export function Downloads({ project, sheet, saw }: { project: number; sheet: Ref; saw: Lengths }) {
  const [trouble, setTrouble] = useState<Trouble | null>(null);
  const take = async (as: keyof typeof files) => {
    const a = await fetchCSV(project, sheet, saw, as);
    if (!a.ok) {
      setTrouble(a.trouble);
      return;
    }
    setTrouble(null);
    if (a.data instanceof Blob) {
      save(a.data, `${sheet.letter}.${sheet.number}-${as}`);
    }
  };
  return (
    <>
      {(Object.keys(files) as (keyof typeof files)[]).map((as) => (
        <button key={as} type="button" class="second" onClick={() => void take(as)}>
          {files[as]}
        </button>
      ))}
      {trouble ? <TroubleNote trouble={trouble} /> : null}
    </>
  );
}

/** save hands a file to the browser. The lists need the session, so no plain link reaches them. */
function save(file: Blob, name: string): void {
  const url = URL.createObjectURL(file);
  const link = document.createElement("a");
  link.href = url;
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}

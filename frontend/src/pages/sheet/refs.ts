/** A sheet of a design of the project at hand, as an address writes it: "2.A.3". */
export interface Ref {
  design: number;
  letter: string;
  number: number;
}

const written = /^([1-9]\d{0,14})\.([A-Z]{1,3})\.([1-9]\d{0,8})$/;

/** refOf reads a sheet of an address; null for what can't be one. */
export function refOf(text: string): Ref | null {
  const [, design, letter, number] = written.exec(text) ?? [];
  return design && letter && number ? { design: Number(design), letter, number: Number(number) } : null;
}

export const writeRef = (r: Ref) => `${r.design}.${r.letter}.${r.number}`;

/** sheetPath is where a kept sheet is read. */
export const sheetPath = (project: number, r: Ref) => `/projects/${project}/designs/${r.design}/${r.letter}.${r.number}`;

/** partsPath is where it is said what to buy and cut for a sheet. */
export const partsPath = (project: number, r: Ref) => `${sheetPath(project, r)}/parts`;

/** comparePath is where two sheets stand side by side. */
export const comparePath = (project: number, left: Ref, right: Ref) => `/projects/${project}/compare/${writeRef(left)}/${writeRef(right)}`;

/** checkPath is where a letter is checked: what was said about it, and what stands open. */
export const checkPath = (project: number, design: number, letter: string) => `/projects/${project}/designs/${design}/check/${letter}`;

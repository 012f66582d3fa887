import type { Schema } from "../../api/client";

export type BuildState = Schema<"BuildState">;

/** The words for the state of a machine. */
export const buildWords: Record<BuildState, string> = {
  being_built: "being built",
  built: "built",
  in_service: "in service",
  laid_up: "laid up",
  scrapped: "scrapped",
};

/** What is done to bring a machine to a state. */
export const wayWords: Record<BuildState, string> = {
  being_built: "Go on building",
  built: "It is built",
  in_service: "Put it into service",
  laid_up: "Lay it up",
  scrapped: "Scrap it",
};

/** What coming to a state means, said before. */
export const meaning: Record<BuildState, string> = {
  being_built: "",
  built: "All of it stands. That says nothing about pressure: next comes the pressure test.",
  in_service: "It runs, within the limits of its certificate.",
  laid_up: "It is out of use: pressure off, valves open, drained where frost can come.",
  scrapped: "It is no more, or not one machine any more. Nothing about it can change after that; all that was recorded stays.",
};

/** sayCertificate says in one sentence how a machine stands with its certificate. */
export function sayCertificate({ valid, reasons }: Schema<"CertificateNow">): string {
  return valid ? "It has a valid certificate." : `No valid certificate: it must not be under pressure. ${reasons.join(" ")}`.trim();
}

/** tagName is the number of a machine as its label has it. */
export const tagName = (tag: number) => `No. ${tag}`;

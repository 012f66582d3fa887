import type { Schema } from "../../api/client";

type Awaited = Schema<"Awaited">;

/** What waits in one sentence, what to do about it, and where. */
export interface Said {
  what: string;
  go: string;
  to: string;
}

/** awaits says what an entry of the list means for its reader. */
export function awaits(w: Awaited): Said {
  const project = `/projects/${w.project ?? 0}`;
  const check = `${project}/designs/${w.design ?? 0}/check/${w.letter ?? ""}`;
  const build = `${project}/builds/${w.build ?? 0}`;
  switch (w.kind) {
    case "check":
      return { what: `Revision ${w.letter ?? ""} of “${w.thing}” is to be checked.`, go: "Check it", to: check };
    case "recalculation":
      return { what: `A newer calculation answers revision ${w.letter ?? ""} of “${w.thing}” otherwise.`, go: "See what differs", to: check };
    case "remark_answer":
      return { what: `A remark on your design wants an answer: “${w.thing}”`, go: "Answer it", to: check };
    case "remark_rest":
      return { what: `Your remark was answered: “${w.thing}”`, go: "Look at the answer", to: check };
    case "remark_left":
      return { what: `Who raised this remark has left; a steward may lay it to rest: “${w.thing}”`, go: "Look at it", to: check };
    case "build":
      return { what: `${w.thing} must not be under pressure as it stands. Lay it up, or have it tested.`, go: "See why", to: build };
    case "incident":
      return { what: `An incident is open: “${w.thing}”`, go: "Look into it", to: `${w.build ? build : project}/log` };
    case "hide":
      return { what: `The file ${w.thing} is to be hidden; a second signature is lacking.`, go: "Look at it", to: `${project}/log` };
    case "safety":
      return { what: `Safety settings wait for a signature: “${w.thing}”`, go: "Read them", to: "/group/safety" };
    case "template":
      return { what: `Version ${w.number ?? 0} of the test procedure waits for a signature: “${w.thing}”`, go: "Read it", to: "/group/procedure" };
    case "instrument":
      return { what: `The calibration of ${w.thing} is due.`, go: "To the instruments", to: "/group/instruments" };
    case "test":
      return { what: `A signature is lacking on the test sheet of ${w.thing}.`, go: "To the test sheet", to: `${build}/tests/${w.number ?? 0}` };
    case "certificate":
      return { what: `${w.thing} passed its test and wants a certificate.`, go: "To the certificate", to: `${build}/certificate` };
    case "lapse":
      return { what: `The certificate of ${w.thing} ends soon.`, go: "To the machine", to: build };
    case "coefficients":
      return { what: `A set of coefficients was proposed and waits for a steward: “${w.thing}”`, go: "Look at it", to: `/evidence/sets/${w.number ?? 0}` };
    case "run":
      return { what: `Run ${w.number ?? 0} of ${w.thing}, “${w.title ?? ""}”, has its verdict and waits to be confirmed.`, go: "Look at it", to: `${build}/runs/${w.number ?? 0}` };
  }
}

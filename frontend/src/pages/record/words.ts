import type { Schema } from "../../api/client";

type Link = Schema<"Link">;

const kinds: Record<string, string> = {
  act: "People or group",
  revision_issued: "A revision issued for its check",
  check_outcome: "The outcome of a check",
  revision_ended: "A revision taken back or withdrawn",
  incident_rest: "An incident laid to rest as harmless",
  file_hide: "A file hidden",
  safety_proposed: "Safety settings proposed",
  safety_signed: "Safety settings signed",
  template_proposed: "A version of the test procedure proposed",
  template_signed: "A version of the test procedure signed",
  test_started: "A pressure test begun",
  test_signed: "An item of a test signed",
  nonconformance: "A nonconformance",
  nonconformance_closed: "A nonconformance closed",
  certificate: "A certificate issued",
  certificate_ended: "A certificate revoked",
  run_confirmed: "A run confirmed",
  run_set_aside: "A run set aside",
  set_proposed: "A set of coefficients proposed",
  set_adopted: "A set of coefficients adopted",
  project_imported: "A project brought in from another group",
};

const acts: Record<string, string> = {
  invited: "Somebody invited",
  invitation_withdrawn: "An invitation taken back",
  joined: "Joined the group",
  roles_set: "Roles set",
  reset_code_given: "A code for a new password given",
  password_reset: "Password set with a code",
  account_closed: "An account closed",
  settings_set: "Settings of the group changed",
};

/** kindWords says what sort of act was signed; one that this page does not know yet by its own name. */
export function kindWords(kind: string, signed = ""): string {
  const act = kind === "act" ? /"kind":"([a-z_]+)"/.exec(signed)?.[1] : undefined;
  const said = act === undefined ? kinds[kind] : acts[act];
  return said ?? (act ?? kind).replaceAll("_", " ");
}

/** aboutOf is the thing that was signed, in words, and the page where it is; null where that is nothing of its own. */
export function aboutOf({ kind, project, about: a }: Pick<Link, "kind" | "project" | "about">): { text: string; href: string } | null {
  const there = `/projects/${project}`;
  if (project === null) {
    return ofGroup(kind, a);
  }
  if (a.design !== undefined) {
    return { text: `${a.title}, revision ${a.letter}`, href: `${there}/designs/${a.design}/check/${a.letter}` };
  }
  const build = `${there}/builds/${a.build}`;
  if (a.test !== undefined) {
    return { text: `${a.title}, test sheet ${a.test}${a.item ? `, ${a.item}` : ""}`, href: `${build}/tests/${a.test}` };
  }
  if (a.run !== undefined) {
    return { text: `${a.title}, run ${a.run}`, href: `${build}/runs/${a.run}` };
  }
  if (kind === "incident_rest" || kind === "file_hide") {
    return { text: a.title, href: a.build === undefined ? `${there}/log` : `${build}/log` };
  }
  return a.build === undefined ? { text: a.title, href: there } : { text: a.title, href: `${build}/certificate` };
}

function ofGroup(kind: string, a: Link["about"]): { text: string; href: string } | null {
  switch (kind) {
    case "set_proposed":
    case "set_adopted":
      return { text: `proposal ${a.number}`, href: `/evidence/sets/${a.number}` };
    case "safety_proposed":
    case "safety_signed":
      return { text: `proposal ${a.number}`, href: "/group/safety" };
    case "template_proposed":
    case "template_signed":
      return { text: `version ${a.number}`, href: `/group/procedure/${a.number}` };
  }
  return a.title === "" ? null : { text: a.title, href: "/group" };
}

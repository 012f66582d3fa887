import type { Schema } from "../../api/client";
import type { Units } from "../../api/session";
import { listed } from "../../words";

export type Role = Schema<"GroupMember">["roles"][number];
export type Act = Schema<"Act">;
type Facts = Schema<"ActFacts">;

/** The roles that a keeper gives; everybody is a member. */
export const givenRoles = ["checker", "steward", "keeper"] as const;

/** What each role may do, in the order in which they add up. */
export const mayDo: Record<Role, string> = {
  member:
    "Reads everything. Starts projects; drafts, issues and builds on those whose crew they are on; logs, measures, remarks, witnesses.",
  checker: "Also checks designs of projects whose crew they never were on.",
  steward:
    "The group’s competent person for pressure: also signs as such, issues and revokes test certificates, confirms runs, adopts coefficients. Never for what they built themselves.",
  keeper:
    "Also invites, sets roles, helps with lost passwords, closes accounts, keeps the settings and the backups. Being keeper gives no right to sign anything.",
};

export const unitNames: Record<Units, string> = {
  metric: "metric workshop (mm, m, bar, L/min)",
  us: "US customary (in, ft, psi, gal/min)",
  si: "SI (m, Pa, m³/s)",
};

/** Roles as one reads them out; of somebody without any, member. */
export function sayRoles(roles: readonly string[]): string {
  const beyond = givenRoles.filter((r) => roles.includes(r));
  return beyond.length === 0 ? "member" : listed(beyond);
}

/** One act of the record as a sentence. */
export function sayAct(a: Act): string {
  const who = a.by.name;
  const whom = a.about?.name ?? "";
  switch (a.kind) {
    case "invited":
      return `${who} invited ${a.after.name ?? "somebody"}${asRoles(a.after)}.`;
    case "invitation_withdrawn":
      return `${who} withdrew the invitation of ${a.before.name ?? "somebody"}.`;
    case "joined":
      return `${who} joined${asRoles(a.after)}.`;
    case "roles_set":
      return sayRolesSet(a, who, whom);
    case "reset_code_given":
      return `${who} made a code for ${whom} to set a new password with.`;
    case "password_reset":
      return `${who} set a new password with a code from a keeper.`;
    case "account_closed":
      return a.about?.id === a.by.id ? `${who} closed their own account.` : `${who} closed the account of ${whom}.`;
    case "settings_set":
      return saySettings(a, who);
  }
}

function asRoles(facts: Facts): string {
  const roles = facts.roles ?? [];
  return roles.length > 1 ? ` as ${sayRoles(roles)}` : "";
}

function sayRolesSet(a: Act, who: string, whom: string): string {
  const before = a.before.roles ?? [];
  const after = a.after.roles ?? [];
  const given = after.filter((r) => !before.includes(r));
  const taken = before.filter((r) => !after.includes(r));
  if (given.length + taken.length === 0) {
    return `${who} left the roles of ${whom} as they were.`;
  }
  if (a.about?.id === a.by.id) {
    return `${who} laid down the role of ${listed(taken)}.`;
  }
  const parts = [
    ...(given.length > 0 ? [`gave ${whom} the role of ${listed(given)}`] : []),
    ...(taken.length > 0 ? [`took the role of ${listed(taken)} from ${whom}`] : []),
  ];
  return `${who} ${parts.join(" and ")}.`;
}

function saySettings({ before, after }: Act, who: string): string {
  const parts = [
    ...(after.name !== undefined && after.name !== before.name ? [`the name of the group to ${after.name}`] : []),
    ...(after.units !== undefined && after.units !== before.units ? [`its units to ${unitNames[after.units]}`] : []),
    ...(after.time_zone !== undefined && after.time_zone !== before.time_zone ? [`its time zone to ${after.time_zone}`] : []),
  ];
  return parts.length > 0 ? `${who} set ${listed(parts)}.` : `${who} saved the settings as they were.`;
}

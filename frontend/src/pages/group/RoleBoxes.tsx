import type { Schema } from "../../api/client";
import { givenRoles } from "./words";

type Roles = Schema<"RolesGiven">;

interface RoleBoxesProps {
  legend: string;
  /** Begins the ids of the boxes. */
  name: string;
  roles: Roles;
  onRoles: (roles: Roles) => void;
  /** Only these can be ticked: nobody gives a role to themselves. */
  only?: readonly string[];
}

/** RoleBoxes are the roles beyond member, to tick. */
export function RoleBoxes({ legend, name, roles, onRoles, only }: RoleBoxesProps) {
  return (
    <fieldset class="role-boxes">
      <legend>{legend}</legend>
      {givenRoles.map((role) => (
        <label key={role}>
          <input
            type="checkbox"
            id={`${name}-${role}`}
            checked={roles[role]}
            disabled={only !== undefined && !only.includes(role)}
            onChange={(e) => onRoles({ ...roles, [role]: e.currentTarget.checked })}
          />
          {role}
        </label>
      ))}
    </fieldset>
  );
}

/** rolesOf ticks the roles of a list. */
export function rolesOf(list: readonly string[]): Roles {
  return { checker: list.includes("checker"), steward: list.includes("steward"), keeper: list.includes("keeper") };
}

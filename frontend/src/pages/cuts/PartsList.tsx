import type { Schema } from "../../api/client";
import { useUnits } from "../../system";
import { cutLength } from "./length";

type Row = Schema<"PartsRow">;

const roles: Record<string, string> = {
  supply_pipe: "supply pipe",
  air_line: "air line",
  drive_pipe: "drive pipe",
  air_vessel: "air vessel",
  delivery_pipe: "delivery pipe",
  air_tubes: "air tubes",
  other: "part",
};

/** PartsList is every part of the machine with its cut length and how its ends are joined, then the fittings. */
export function PartsList({ rows }: { rows: Row[] }) {
  const units = useUnits();
  const cut = (r: Row) => (r.cuts ?? []).map((m) => cutLength(m, units.system)).join(", ");
  return (
    <section aria-labelledby="parts-title">
      <h2 id="parts-title">Parts list</h2>
      <table>
        <thead>
          <tr>
            <th scope="col">Part</th>
            <th scope="col">Of what</th>
            <th scope="col">How many</th>
            <th scope="col">Cut each to</th>
            <th scope="col">Ends</th>
          </tr>
        </thead>
        <tbody>
          {rows
            .filter((r) => r.kind !== "consumable")
            .map((r, i) => (
              <tr key={i}>
                <th scope="row">{r.kind === "fitting" ? "fitting" : (roles[r.role] ?? r.role)}</th>
                <td data-of="Of what">
                  {r.name}
                  {r.note && r.key === "" ? <span class="small quiet note">{r.note}</span> : null}
                </td>
                <td data-of="How many">{r.qty}</td>
                <td data-of="Cut each to">{cut(r) || "not cut"}</td>
                <td data-of="Ends">{ends(r.joints ?? [])}</td>
              </tr>
            ))}
        </tbody>
      </table>
    </section>
  );
}

/** ends says the joints of both ends, once where they are the same. */
function ends(joints: string[]): string {
  const [first, second] = joints;
  if (first === undefined) {
    return "plain";
  }
  return second === undefined ? first : first === second ? `both ${first}` : `${first}; ${second}`;
}

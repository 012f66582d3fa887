import { useUnits } from "../../system";
import { sayAt, sayRenewed, writeAt } from "../changebuild/differences";
import type { Build } from "./fetch";

/** InForce lists what differs from the sheet, and what was renewed, as the machine stands. */
export function InForce({ build }: { build: Build }) {
  const units = useUnits();
  const { now, may_differ: places } = build;
  const differ = Object.entries(now.differences);
  const renewed = Object.entries(now.renewed);
  return (
    <>
      {differ.length === 0 ? (
        <p>It stands as sheet {`${now.sheet.letter}.${now.sheet.number}`} says.</p>
      ) : (
        <table class="differs">
          <caption>Different from sheet {`${now.sheet.letter}.${now.sheet.number}`}</caption>
          <thead>
            <tr>
              <th scope="col">What</th>
              <th scope="col">Drawn</th>
              <th scope="col">Built</th>
            </tr>
          </thead>
          <tbody>
            {differ.map(([at, value]) => {
              const p = places.find((x) => x.at === at);
              return (
                <tr key={at}>
                  <th scope="row">{sayAt(at, places, now.input)}</th>
                  <td>{p ? writeAt(p, p.value, units) : ""}</td>
                  <td>
                    <b>{p ? writeAt(p, value, units) : String(value)}</b>
                  </td>
                </tr>
              );
            })}
          </tbody>
        </table>
      )}
      {renewed.length > 0 ? (
        <p>
          Renewed like for like:{" "}
          {renewed.map(([at, times]) => `${sayRenewed(at, now.input)}${times > 1 ? ` (${times} times)` : ""}`).join("; ")}.
        </p>
      ) : null}
      {now.moves > 0 ? <p>Moved {now.moves === 1 ? "once" : `${now.moves} times`}.</p> : null}
    </>
  );
}

import { useUnits } from "../../system";
import { when } from "../../words";
import { sayAt, sayRenewed, writeAt } from "../changebuild/differences";
import type { Build } from "./fetch";
import { buildWords } from "./states";

type Version = Build["versions"][number];

/** History tells how the machine came to stand as it does: each version of it, and each state, the newest first. */
export function History({ build }: { build: Build }) {
  const units = useUnits();
  const say = (v: Version, before: Version | undefined) => {
    const said: string[] = [];
    if (!before) {
      return [`Begun from revision ${v.letter}.`];
    }
    if (v.letter !== before.letter) {
      said.push(`Rebuilt to revision ${v.letter}.`);
    }
    const places = new Set([...Object.keys(v.differences), ...Object.keys(before.differences)]);
    for (const at of places) {
      const [a, b] = [before.differences[at], v.differences[at]];
      if (a !== b) {
        const p = build.may_differ.find((x) => x.at === at);
        const now = b === undefined ? "as drawn again" : p ? writeAt(p, b, units) : String(b);
        said.push(`${sayAt(at, build.may_differ, build.now.input)}: ${now}.`);
      }
    }
    for (const [at, times] of Object.entries(v.renewed)) {
      if (times > (before.renewed[at] ?? 0)) {
        said.push(`${sayRenewed(at, build.now.input)} renewed.`);
      }
    }
    if (v.moves > before.moves) {
      said.push(`Moved: ${v.place}.`);
    }
    return said;
  };
  return (
    <details class="fold">
      <summary>How it came to stand as it does</summary>
      <ol class="history" reversed>
        {build.versions.map((v, i) => (
          <li key={v.number}>
            <p>
              <b>{when(v.made_at)}</b> {v.made_by.name}
            </p>
            <p>
              {say(v, v.number === 1 ? undefined : build.versions[i + 1]).join(" ")} {v.note ? <>“{v.note}”</> : null}
            </p>
          </li>
        ))}
      </ol>
      <h3>States</h3>
      <ul class="history">
        {build.states.map((s) => (
          <li key={`${s.state}${s.at}`}>
            <p>
              <b>{when(s.at)}</b> {s.who.name}: {buildWords[s.state]}
              {s.reason ? <>, “{s.reason}”</> : null}
            </p>
          </li>
        ))}
      </ul>
    </details>
  );
}

import { useState } from "preact/hooks";
import { nameOfInput, type SaidInput } from "../sheet/InputList";
import { pinId, PinMark, PinPlace } from "../sheet/pins";
import { useNarrow } from "../sheet/narrow";
import type { Remark } from "./fetch";
import { onPin } from "./pins";
import { begin } from "./say";

/**
 * Inputs are what a sheet was calculated from, each to be opened for its
 * remarks. On a phone a group opens when it is wanted, or when a remark stands
 * open in it.
 */
export function Inputs({ said, remarks }: { said: SaidInput[]; remarks: Remark[] }) {
  const narrow = useNarrow();
  const groups = [...new Set(said.map((s) => s.group))];
  return (
    <>
      {groups.map((group) => {
        const own = said.filter((s) => s.group === group);
        const rows = (
          <ul class="numbers">
            {own.map((s) => (
              <Row key={s.at} said={s} />
            ))}
          </ul>
        );
        if (!narrow) {
          return (
            <div key={group}>
              <h3>{begin(group)}</h3>
              {rows}
            </div>
          );
        }
        const open = own.some((s) => onPin(remarks, { kind: "input", at: s.at }).length > 0);
        return (
          <details key={group} class="fold" open={open}>
            <summary>
              <b>{begin(group)}</b>, {own.length === 1 ? "one line" : `${own.length} lines`}
            </summary>
            {rows}
          </details>
        );
      })}
    </>
  );
}

function Row({ said }: { said: SaidInput }) {
  const [open, setOpen] = useState(false);
  const pin = { kind: "input", at: said.at, name: nameOfInput(said) } as const;
  return (
    <li id={pinId(pin)}>
      <details onToggle={(e) => setOpen(e.currentTarget.open)}>
        <summary>
          <span class="quiet">{said.label}</span>{" "}
          <span class="value">
            <b>{said.text}</b>
          </span>
          <PinMark pin={pin} />
        </summary>
        {open ? <PinPlace pin={pin} /> : null}
      </details>
    </li>
  );
}

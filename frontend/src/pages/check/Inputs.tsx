import { useState } from "preact/hooks";
import { nameOfInput, type SaidInput } from "../sheet/InputList";
import { pinId, PinMark, PinPlace } from "../sheet/pins";
import { begin } from "./say";

/** Inputs are what a sheet was calculated from, each to be opened for its remarks. */
export function Inputs({ said }: { said: SaidInput[] }) {
  const groups = [...new Set(said.map((s) => s.group))];
  return (
    <>
      {groups.map((group) => (
        <div key={group}>
          <h3>{begin(group)}</h3>
          <ul class="numbers">
            {said
              .filter((s) => s.group === group)
              .map((s) => (
                <Row key={s.at} said={s} />
              ))}
          </ul>
        </div>
      ))}
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

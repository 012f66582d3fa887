import type { FunctionComponent } from "preact";
import { useCallback, useEffect, useState } from "preact/hooks";
import type { Schema } from "../../api/client";
import { Dialog } from "../../parts/Dialog/Dialog";
import { Drawing } from "../../parts/Drawing/Drawing";
import { atPlace } from "../../places";
import { useUnits } from "../../system";
import { fromBase } from "../../units";
import { fieldAt, type Basis } from "./basis";
import type { Levels } from "./depth";
import { Origins } from "./Origin";
import { gist, type Numbers } from "./say";

interface DepthPartProps {
  n: Numbers;
  basis: Basis;
  drawing: Schema<"Drawing"> | null;
}

/** DepthPart has pressure, air and speed down the pipe: curves, fetched when they are opened, and a table. */
export function DepthPart({ n, basis, drawing }: DepthPartProps) {
  const [open, setOpen] = useState(false);
  const [beside, setBeside] = useState(false);
  const list = ["p_gauge_pa", "void", "u_liquid_ms", "u_gas_ms", "j_ms", "c0"].flatMap((name) => {
    const f = fieldAt(basis.outputs, `/profile/${name}`);
    return f ? [{ f, name: f.about }] : [];
  });
  return (
    <details class="depth-part fold" onToggle={(e) => (e.target === e.currentTarget ? setOpen(e.currentTarget.open) : undefined)}>
      <summary>Pressure, air and speed down the pipe</summary>
      {drawing ? (
        <button type="button" class="plain wide-only" onClick={() => setBeside(true)}>
          Show them beside the drawing
        </button>
      ) : null}
      {open ? <Curves n={n} /> : null}
      <Table n={n} />
      <Origins title="Where these come from" list={list} basis={basis} n={n} />
      {drawing && beside ? <Beside n={n} drawing={drawing} onClose={() => setBeside(false)} /> : null}
    </details>
  );
}

/** Beside puts the curves next to the drawing, level by level at the same height. */
function Beside({ n, drawing, onClose }: { n: Numbers; drawing: Schema<"Drawing">; onClose: () => void }) {
  const [levels, setLevels] = useState<Levels | null>(null);
  const place = useCallback((perMetre: number, zero: number, height: number) => setLevels({ perMetre, zero, height }), []);
  return (
    <Dialog title="Down the pipe" onClose={onClose} wide>
      <div class="with-depth">
        <Drawing drawing={drawing} about={gist(n, useUnits())} height={Math.max(360, innerHeight - 290)} write={useUnits().write} onScale={place} />
        {levels ? <Curves n={n} beside={levels} /> : null}
      </div>
    </Dialog>
  );
}

type DepthProps = { n: Numbers; beside?: Levels };
let Depth: FunctionComponent<DepthProps> | null = null;

/** Curves fetches the charts when they are first shown, and says so when it can't. */
export function Curves(props: DepthProps) {
  const [, redraw] = useState(0);
  const [failed, setFailed] = useState(false);
  const fetch = () => {
    setFailed(false);
    import("./Depth").then(
      (m) => {
        Depth = m.default;
        redraw((k) => k + 1);
      },
      () => setFailed(true),
    );
  };
  useEffect(() => (Depth ? undefined : fetch()), []);
  if (Depth) {
    return <Depth {...props} />;
  }
  return failed ? (
    <p>
      The curves could not be fetched; the table has the same numbers.{" "}
      <button type="button" class="plain" onClick={fetch}>
        Try again
      </button>
    </p>
  ) : (
    <p class="quiet">Fetching the curves …</p>
  );
}

function Table({ n }: { n: Numbers }) {
  const units = useUnits();
  const deepest = Math.max(...n.profile.map((s) => s.p_gauge_pa));
  const unit = { level: units.typed("level"), pressure: units.shown(deepest, "pressure"), speed: units.typed("speed") };
  const place = -Math.max(0, 3 - Math.ceil(Math.log10(Math.max(fromBase(deepest, unit.pressure), 1e-3))));
  return (
    <table class="profile">
      <thead>
        <tr>
          <th scope="col">level, {unit.level.name}</th>
          <th scope="col">{unit.pressure.name}</th>
          <th scope="col">air, %</th>
          <th scope="col">water, {unit.speed.name}</th>
          <th scope="col">bubbles, {unit.speed.name}</th>
        </tr>
      </thead>
      <tbody>
        {n.profile.map((s) => (
          <tr key={s.z_m}>
            <td>{atPlace(fromBase(s.z_m, unit.level), -2)}</td>
            <td>{atPlace(fromBase(s.p_gauge_pa, unit.pressure), place)}</td>
            <td>{atPlace(100 * s.void, -1)}</td>
            <td>{atPlace(fromBase(s.u_liquid_ms, unit.speed), -2)}</td>
            <td>{atPlace(fromBase(s.u_gas_ms, unit.speed), -2)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

import type { Units } from "../../system";
import { figures, fromBase, unitNamed, withUnit } from "../../units";

const sixteenths = 16;

/** cutLength writes a length as one marks it with a tape: whole millimetres, or sixteenths of an inch. The CSV has the tenths. */
export function cutLength(metres: number, system: Units["system"]): string {
  if (system !== "us") {
    return withUnit(figures(Math.round(metres * 1000), 8), unitNamed("length", "mm"));
  }
  const all = Math.round(fromBase(metres, unitNamed("length", "in")) * sixteenths);
  let [over, under] = [all % sixteenths, sixteenths];
  while (over > 0 && over % 2 === 0) {
    [over, under] = [over / 2, under / 2];
  }
  const whole = Math.floor(all / sixteenths);
  const number = over === 0 ? String(whole) : whole === 0 ? `${over}/${under}` : `${whole} ${over}/${under}`;
  return withUnit(number, unitNamed("length", "in"));
}

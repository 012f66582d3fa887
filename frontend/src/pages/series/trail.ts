import { runPath, runsPath, type Run, type RunAddress } from "../run/fetch";
import { trailOf } from "../test/fetch";

/** trailTo leads from the projects down to a run. */
export const trailTo = (at: RunAddress, run?: Pick<Run, "machine" | "title">) => [...trailOf(at, run?.machine), { href: runsPath(at), name: "Runs" }, { href: runPath(at), name: run?.title ?? `Run ${at.run}` }];

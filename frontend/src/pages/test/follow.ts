import { useFollowed, type Followed as FollowedAs } from "../../api/follow";
import { fetchIfChanged, type Test, type TestAddress } from "./fetch";

/** A test sheet as it stands for everybody who works on it. */
export interface Followed extends Omit<FollowedAs<Test>, "data"> {
  test: Test | null;
}

/** useTest follows a test sheet. */
export function useTest(at: TestAddress): Followed {
  const { data: test, ...rest } = useFollowed((stamp) => fetchIfChanged(at, stamp), [at.project, at.build, at.test]);
  return { test, ...rest };
}

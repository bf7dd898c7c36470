/** In which manner a rig's filter cues are given now, so that the array says what its phone says. */

import { sunAt } from "../../../shared/eclipse/sun.ts";
import { filterOffReleased } from "../../../shared/run/doubt.ts";
import type { RigStatus } from "../../../shared/run/rig-status.ts";
import type { CueManner } from "../../parts/words-for-cue.ts";
import type { RunNow } from "../use-run.ts";

export function cueManner(
  status: Pick<RigStatus, "practiceSafe" | "sawTotality">,
  now: Pick<RunNow, "practice" | "state" | "now" | "run">,
): CueManner {
  const { site } = now.state.plan;
  const realSunUp = site !== null && sunAt(now.now, site).up;
  const called = now.run.run.calls.some((call) => call.call === "totality" && !call.takenBack);
  return {
    practiceTouch: now.practice !== null && realSunUp && !status.practiceSafe,
    byEye: !filterOffReleased(now.run.doubt, status.sawTotality || called),
  };
}

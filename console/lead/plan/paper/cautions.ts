/** The cautions that a rig's printed sheet carries: what depends on the place and the rig first. */

import { localEclipse } from "../../../../shared/plan/local-eclipse.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { filterAllowance } from "../../../../shared/plan/safety/allowance.ts";
import type { SiteState } from "../../../../shared/run/state.ts";
import type { WordKey } from "../../../words/words.ts";

/** The cautions of this rig at this site, the gravest first. */
export function cautionsFor(rig: Rig, state: Pick<SiteState, "circumstances">): WordKey[] {
  const gets = localEclipse(state.circumstances);
  const allowance = filterAllowance(rig, gets);
  const keys: WordKey[] = [];
  if (gets.kind !== "total") keys.push("lead.caution.stay");
  else if (rig.filter === "front" && rig.kind !== "projection" && allowance === null)
    keys.push("lead.caution.stayHere");
  else if (allowance) keys.push(allowance.eyeAwayBy ? "lead.caution.lookedThrough" : "lead.caution.total");
  if (rig.kind === "projection" || rig.unattended) keys.push("lead.caution.guard");
  if (rig.filter === "none by design") keys.push("lead.caution.noFilter");
  keys.push("lead.caution.cover", "lead.caution.front", "lead.caution.eye");
  return keys;
}

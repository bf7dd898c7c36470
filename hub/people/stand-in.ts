/** Who plays the rig of somebody who is missing: an ordinary operator, the same for a rig at every run. */
import type { Rig } from "../../shared/plan/model/plan.ts";
import type { Person } from "./person.ts";
import { seeded } from "./seeded.ts";

/** `seed`: of the programme, so that another one brings other people. */
export function standIn(rig: Pick<Rig, "id" | "kind">, seed: string): Person {
  const random = seeded(`${seed} ${rig.id}`);
  const quickS = 0.4 + random();
  const looks = rig.kind === "visual-telescope" || rig.kind === "binocular" || rig.kind === "projection";
  return {
    rigId: rig.id,
    device: "simulated operator",
    reactionS: [quickS, quickS + 0.5 + 2 * random()],
    card: looks ? null : { startGB: Math.round(16 + 48 * random()), perShotGB: 0.5, perMinuteGB: 0.2 },
    battery: { startPct: Math.round(60 + 35 * random()), perMinutePct: 0.4 },
    moments: [],
    // What is really capped or points away the lead has said before the start.
    vouches: false,
  };
}

/** Who stands nearest to a rig, where the group has drawn its field: whom to send there. Pure. */
import { walkBetweenS } from "../../../../shared/plan/model/equipment.ts";
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";

type Placed = Pick<RigStatus, "rig" | "linked">;

/** Of rigs whose phone is linked, so that somebody can be asked; null where nobody is known to be near. */
export function nearestTo<R extends Placed>(status: Placed, rigs: readonly R[]): R | null {
  const near = rigs.flatMap((other) => {
    const walkS = walkBetweenS(status.rig.spot, other.rig.spot);
    const another = other.rig.id !== status.rig.id && other.rig.operator !== status.rig.operator;
    return another && other.linked.length > 0 && walkS !== undefined ? [{ other, walkS }] : [];
  });
  near.sort((a, b) => a.walkS - b.walkS);
  return near[0]?.other ?? null;
}

/** A plan's rigs as the schedule of hands needs them: who may open when, and how far it is from one to the next. */
import type { LocalEclipse } from "../local-eclipse.ts";
import { walkBetweenS } from "../model/equipment.ts";
import type { Rig } from "../model/plan.ts";
import { filterAllowance } from "../safety/allowance.ts";
import { type HandsPlan, USUAL_WALK_S } from "./hands-plan.ts";

export function handsOfRigs(
  rigs: readonly Rig[],
  gets: LocalEclipse,
): HandsPlan & Required<Pick<HandsPlan, "walkS">> {
  const known = new Map(rigs.map((rig) => [rig.id, rig]));
  const spotOf = (id: string) => known.get(id)?.spot ?? null;
  return {
    rigs,
    times: gets.contacts,
    allowanceOf: (id) => filterAllowance(known.get(id) as Rig, gets),
    walkS: (from, to) => (from === to ? 0 : (walkBetweenS(spotOf(from), spotOf(to)) ?? USUAL_WALK_S)),
  };
}

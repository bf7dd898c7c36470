/** Who works at which rigs. */
import type { Plan, Rig } from "../model/plan.ts";
import { handsOf } from "./tasks-of-plan.ts";

export interface Person {
  key: string;
  name: string;
  rigs: Rig[];
}

/** Everybody with the rigs in their hands, in the plan's order; a rig that names nobody is alone. */
export function peopleOfRigs({ rigs }: Pick<Plan, "rigs">): Person[] {
  const people = new Map<string, Person>();
  for (const rig of rigs) {
    const key = handsOf(rig);
    const known = people.get(key);
    if (known) known.rigs.push(rig);
    else people.set(key, { key, name: rig.operator.trim(), rigs: [rig] });
  }
  return [...people.values()];
}

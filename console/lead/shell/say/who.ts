/** Rigs by the people who stand at them, as one calls to them. */
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";
import { t } from "../../../words/words.ts";

type Named = Pick<RigStatus, "rig">;

/** "Ada, Ben"; a rig without an operator by its own name. */
export function namesOf(rigs: readonly Named[]): string {
  return [...new Set(rigs.map(({ rig }) => rig.operator || rig.name))].join(", ");
}

/** The one name there is; of several how many rigs. */
export function whoOf(rigs: readonly Named[]): string {
  const names = new Set(rigs.map(({ rig }) => rig.operator || rig.name));
  const [only] = names;
  return names.size === 1 && only ? only : t("lead.say.several", { count: rigs.length });
}

/**
 * Mends that the rules of safety let through: what is offered can be saved. Where nobody would call the
 * eyes down any more (S13), the look up is left out with it: whoever has several rigs looks up by another.
 */
import type { Steps } from "../../eclipse/steps.ts";
import type { LocalEclipse } from "../local-eclipse.ts";
import type { Rig } from "../model/plan.ts";
import { isLookUp } from "../safety/check-eye-cues.ts";
import { checkWholeRig } from "../safety/check-plan.ts";
import { type AssessedMend, withMend } from "./apply-mend.ts";

export function* mendsThatHold(
  mends: readonly AssessedMend[],
  rigs: readonly Rig[],
  gets: LocalEclipse,
): Steps<AssessedMend[]> {
  const known = new Map<string, string[]>();
  const before = (rigId: string): string[] => {
    const rig = rigs.find(({ id }) => id === rigId);
    const codes = known.get(rigId) ?? (rig ? blockersOf(rig, gets) : []);
    known.set(rigId, codes);
    return codes;
  };
  /** The rigs that a mend would bring into conflict with a rule, and with which. */
  const brokenBy = (changes: AssessedMend["changes"]) =>
    withMend({ rigs: [...rigs] }, changes, "").rigs.flatMap((rig) => {
      if (!changes.some(({ rigId }) => rigId === rig.id)) return [];
      const codes = blockersOf(rig, gets).filter((code) => !before(rig.id).includes(code));
      return codes.length > 0 ? [{ rig, codes }] : [];
    });
  const hold: AssessedMend[] = [];
  for (const mend of mends) {
    const lookUps = brokenBy(mend.changes)
      .filter(({ codes }) => codes.includes("eyes-down-missing"))
      .flatMap(({ rig }) =>
        rig.cues
          .filter((cue) => cue.on && isLookUp(cue))
          .map((cue) => ({ kind: "drop" as const, rigId: rig.id, cueId: cue.id })),
      );
    const changes = [...mend.changes, ...lookUps];
    if (brokenBy(changes).length === 0) hold.push({ ...mend, changes });
    yield;
  }
  return hold;
}

function blockersOf(rig: Rig, gets: LocalEclipse): string[] {
  return checkWholeRig(rig, 0, gets)
    .filter(({ severity }) => severity === "blocks")
    .map(({ code }) => code);
}

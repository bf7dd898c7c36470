/**
 * What one pair of hands has no time for, at the cues of a rig that are left undone, with those mends
 * of the check that change nothing but this rig. What needs other rigs or one more person stands with
 * the hands of all (console/lead/plan/hands).
 */
import { withMend } from "../../../../shared/plan/assess/apply-mend.ts";
import type { AssessedHands } from "../../../../shared/plan/assess/assess-plan.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { changeLines } from "../hands/mend-words.ts";
import type { CueMend } from "./cue-mends.ts";
import type { FoundAtCue } from "./cue-row.tsx";

export function handsAtCues(hands: readonly AssessedHands[], rig: Rig): FoundAtCue[] {
  return hands.flatMap(({ operator, dropped, mends }) => {
    const undone = new Map(dropped.filter(({ rigId }) => rigId === rig.id).map((one) => [one.cueId, one]));
    const own = mends.filter(({ changes }) =>
      changes.every((change) => change.kind !== "hand-over" && change.rigId === rig.id),
    );
    return [...undone.values()].map(({ cueId, anchor }): FoundAtCue => {
      const who = operator === "" ? rig.name : operator;
      return {
        finding: {
          code: "hands-undone",
          rigId: rig.id,
          cueId,
          severity: "advice",
          message: `${who} has no hands free for this around ${anchor}.`,
          data: { who, anchor },
        },
        mends: own.map(({ changes }) => handsMend(changes, rig)),
      };
    });
  });
}

function handsMend(changes: AssessedHands["mends"][number]["changes"], rig: Rig): CueMend {
  const [mended] = withMend({ rigs: [rig] }, changes, "").rigs;
  return {
    kind: "hands",
    says: changeLines(changes, { rigs: [rig] }).join(" "),
    cues: mended?.cues ?? rig.cues,
  };
}

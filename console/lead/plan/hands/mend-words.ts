/** What a mend of hands changes, in words: a line for each thing, the same at several rigs in one. */
import type { AssessedMend } from "../../../../shared/plan/assess/apply-mend.ts";
import type { Plan } from "../../../../shared/plan/model/plan.ts";
import { lengthWords } from "../../../parts/words-for-length.ts";
import { t } from "../../../words/words.ts";
import { rigName, wordsOfCue } from "../check/names-in-plan.ts";

export type MendChange = AssessedMend["changes"][number];

export function changeLines(changes: readonly MendChange[], plan: Pick<Plan, "rigs">): string[] {
  const groups = new Map<string, { kind: MendChange["kind"]; words: string; rigs: string[] }>();
  for (const change of changes) {
    const { rigId, kind } = change;
    const { rig, words } =
      kind === "hand-over" ? { rig: rigName(plan, rigId), words: "" } : wordsOfCue(plan, change);
    const group = groups.get(`${kind} ${words}`) ?? { kind, words, rigs: [] };
    group.rigs.push(kind === "earlier" ? t("hands.mend.by", { rig, length: lengthWords(change.byS) }) : rig);
    groups.set(`${kind} ${words}`, group);
  }
  return [...groups.values()].map(({ kind, words, rigs }) =>
    t(`hands.mend.${kind}`, { words, rigs: rigs.join(", ") }),
  );
}

/** Faults of a practice in words, and what the person at a rig is told where it is theirs to act out. */
import type { Rig } from "../../../shared/plan/model/plan.ts";
import type { FaultKind } from "../../../shared/run/vocabulary.ts";
import "../../words/bundles/practice.ts";
import { t } from "../../words/words.ts";

export function faultName(kind: FaultKind): string {
  return t(`practise.fault.${kind}`);
}

/** Empty where nobody has to be told. */
export function faultTold(kind: FaultKind): string {
  if (kind === "card full") return t("practise.toldCard");
  if (kind === "operator missing") return t("practise.toldMissing");
  return kind === "phone reload" ? t("practise.toldReload") : "";
}

/** The same when it is over. */
export function faultToldOver(kind: FaultKind): string {
  return kind === "operator missing" ? t("practise.toldBack") : "";
}

/** Whom a fault strikes; null: everybody. */
export function struckText(
  rigIds: readonly string[] | null,
  rigs: readonly Pick<Rig, "id" | "name">[],
): string {
  if (rigIds === null) return t("practise.everybody");
  return rigIds.map((id) => rigs.find((rig) => rig.id === id)?.name ?? id).join(", ");
}

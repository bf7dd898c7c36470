/**
 * Which rigs stand as rows and which fold into tiles of mark and name. As long as all fit, all are rows; then
 * rigs that need nobody fold. Where even those that need somebody are more than fit, so do rigs whose caution
 * one line above the rows says of several at once (twelve filters that nobody has spoken of): their tiles
 * are marked. Danger, a call for help and what only one rig has are always rows. Pure.
 */
import { ownValue } from "../../../../shared/fields/own-key.ts";
import type { RigAlert } from "../../../../shared/run/alerts/alert-entry.ts";
import { RIG_ALERTS } from "../../../../shared/run/alerts/rig-alerts.ts";
import type { Trouble } from "./rig-trouble.ts";

interface Foldable {
  troubles: readonly Pick<Trouble, "cause" | "priority">[];
  up: boolean;
}

/** While somebody is needed, alerts stand above the rows and take the room of so many. */
export const ROOM_OF_ALERTS = 4;

export interface Folded<R> {
  folds: boolean;
  rows: R[];
  tiles: R[];
}

/**
 * `most`: as many rows as there is room for while nobody is needed; `mostUp`: of rigs that need somebody,
 * whose rows are higher. `isOpen`: its panel is, so that its row stays.
 */
export function foldRows<R extends Foldable>(
  all: readonly R[],
  most: number,
  mostUp: number,
  isOpen: (row: R) => boolean,
): Folded<R> {
  const up = all.filter((row) => row.up);
  const folds = all.length > (up.length > 0 ? most - ROOM_OF_ALERTS : most);
  if (!folds) return { folds, rows: [...all], tiles: [] };
  const shared = up.length > mostUp ? sharedCauses(up) : new Set();
  const stays = (row: R) => isOpen(row) || (row.up && !shared.has(row.troubles[0]?.cause));
  return { folds, rows: all.filter(stays), tiles: all.filter((row) => !stays(row)) };
}

/** Cautions that are worst at several rigs and are said once for all of them (alert-groups.ts). */
function sharedCauses(rows: readonly Foldable[]): Set<unknown> {
  const causes = rows.flatMap(({ troubles: [worst] }) =>
    worst?.priority === "caution" && !ownValue<RigAlert>(RIG_ALERTS, worst.cause)?.alone ? [worst.cause] : [],
  );
  return new Set(causes.filter((cause, at) => causes.indexOf(cause) !== at));
}

/**
 * The drawing of the field: metres east and north of a corner that the group chose, and where that is
 * in the picture, north on top. Pure.
 */

import { rangeOf } from "../../../../shared/fields/number.ts";
import { handsOf } from "../../../../shared/plan/hands/tasks-of-plan.ts";
import { type Spot, SpotSchema, walkBetweenS } from "../../../../shared/plan/model/equipment.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";

/** Units of the picture. */
export const PICTURE = { width: 640, height: 440 } as const;
/** Half the picture's width may stand for so many metres; a step wider or narrower is one of these. */
export const REACHES_M = [5, 10, 20, 40, 80, 160, 320, 640, 1000] as const;
const USUAL_REACH_M = 20;
/** Where rigs are placed to; people pace a field, they do not survey it. */
const SNAP_M = 0.5;

export interface View {
  /** What stands in the middle. */
  middle: Spot;
  reachM: number;
}

export type Spots = Readonly<Record<string, Spot>>;

/** The narrowest view that has all of them in it with room around; twenty metres where there is none yet. */
export function viewOf(spots: Spots): View {
  const all = Object.values(spots);
  if (all.length === 0) return { middle: { eastM: 0, northM: 0 }, reachM: USUAL_REACH_M };
  const middleOf = (values: readonly number[]) => Math.round((Math.min(...values) + Math.max(...values)) / 2);
  const middle = {
    eastM: middleOf(all.map(({ eastM }) => eastM)),
    northM: middleOf(all.map(({ northM }) => northM)),
  };
  const flat = PICTURE.width / PICTURE.height;
  const needed = Math.max(
    ...all.map(({ eastM, northM }) =>
      Math.max(Math.abs(eastM - middle.eastM), Math.abs(northM - middle.northM) * flat),
    ),
  );
  const reachM = REACHES_M.find((reach) => reach >= needed * 1.3 + 1 && reach >= 10) ?? 1000;
  return { middle, reachM };
}

export function toPicture(spot: Spot, { middle, reachM }: View): { x: number; y: number } {
  const perM = PICTURE.width / 2 / reachM;
  return {
    x: PICTURE.width / 2 + (spot.eastM - middle.eastM) * perM,
    y: PICTURE.height / 2 - (spot.northM - middle.northM) * perM,
  };
}

/** To half a metre, within what a plan may hold. */
export function toSpot({ x, y }: { x: number; y: number }, { middle, reachM }: View): Spot {
  const perM = PICTURE.width / 2 / reachM;
  return within({
    eastM: snapped(middle.eastM + (x - PICTURE.width / 2) / perM),
    northM: snapped(middle.northM - (y - PICTURE.height / 2) / perM),
  });
}

export function movedBy(spot: Spot, eastM: number, northM: number): Spot {
  return within({ eastM: spot.eastM + eastM, northM: spot.northM + northM });
}

function snapped(metres: number): number {
  return Math.round(metres / SNAP_M) * SNAP_M + 0;
}

const RANGE = rangeOf(SpotSchema.entries.eastM);

function within({ eastM, northM }: Spot): Spot {
  const clamp = (metres: number) => Math.min(RANGE.most, Math.max(RANGE.least, metres));
  return { eastM: clamp(eastM), northM: clamp(northM) };
}

export interface Walk {
  from: string;
  to: string;
  seconds: number;
}

/** The ways between rigs in one pair of hands that both have a place. */
export function walksOf(rigs: readonly Pick<Rig, "id" | "operator">[], spots: Spots): Walk[] {
  return rigs.flatMap((rig, index) =>
    rigs.slice(index + 1).flatMap((other): Walk[] => {
      if (handsOf(rig) !== handsOf(other)) return [];
      const seconds = walkBetweenS(spots[rig.id], spots[other.id]);
      return seconds === undefined ? [] : [{ from: rig.id, to: other.id, seconds: Math.round(seconds) }];
    }),
  );
}

/** A length for the scale's bar that is round, and a quarter to a half of the picture's half. */
export function barM(reachM: number): number {
  return [1, 2, 5, 10, 20, 50, 100, 200, 500].findLast((metres) => metres <= reachM / 2) ?? 1;
}

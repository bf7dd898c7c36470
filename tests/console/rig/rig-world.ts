/** A site, its rigs on one phone, and what the rig page makes of them at an instant. */
import type { RigScene } from "../../../console/rig/run/rig-scene.ts";
import { rigScene } from "../../../console/rig/run/rig-scene.ts";
import type { CueLine } from "../../../console/rig/run/run-picture.ts";
import type { SessionView } from "../../../shared/link/session-types.ts";
import { NOBODY } from "../../../shared/run/views/presence.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import type { SiteWorld } from "../../shared/run/site-world.ts";

export function sceneOf(
  world: SiteWorld,
  now: number,
  rigIds: readonly string[] = ["west"],
  bounds: {
    boundMs?: number;
    utcBoundMs?: number;
    cover?: boolean;
    elsewhere?: boolean;
    refusedRigs?: SessionView["refusedRigs"];
  } = {},
): RigScene {
  const session: SessionView = {
    linkState: "linked",
    sinceUtcMs: utcMs(0),
    state: world.state,
    presence: NOBODY,
    alerts: [],
    cover: bounds.cover ?? world.state.cover !== null,
    rigIds,
    refusedRigs: bounds.refusedRigs ?? [],
    links: [],
    formerKept: [],
    queued: 0,
    rejected: [],
    missedOf: [],
    oldOrders: [],
    refused: null,
    clockHealth: world.clock,
  };
  const scene = rigScene(
    session,
    {
      utcMs: utcMs(now),
      boundMs: bounds.boundMs ?? 3,
      utcBoundMs: bounds.utcBoundMs ?? 20,
      state: "linked",
    },
    rigIds,
    null,
    bounds.elsewhere,
  );
  if (!scene) throw new Error("no scene");
  return scene;
}

export function lineOf(scene: RigScene, key: string): CueLine {
  const found = scene.picture.lines.find((line) => line.key === key);
  if (!found)
    throw new Error(`no line ${key} among ${scene.picture.lines.map((line) => line.key).join(" ")}`);
  return found;
}

export const S = 1000;

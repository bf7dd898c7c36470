/**
 * What the lead has said to this phone's rigs: the newest message, and the roll call that waits for an
 * answer. Near a cue nothing of it is shown; an urgent message is sounded then, and shown later. That a
 * message was shown or sounded is reported once for each rig, so that the lead is told what was seen.
 */
import { useEffect, useRef } from "react";
import { isStillSaid } from "../../../shared/run/run-time.ts";
import type { Message, RollCall } from "../../../shared/run/state.ts";
import type { PageSession } from "../../link/open-session.ts";
import type { RigScene } from "./rig-scene.ts";

/** Until read, at most this long, ms. */
const SHOWN_MS = 15 * 60_000;
/** An alarm that comes later than that calls for something else, ms. Common practice, no source. */
const RINGS_MS = 10_000;

export interface Told {
  message: Message | undefined;
  /** Near a cue, and urgent: to be sounded. */
  rings: boolean;
  roll: RollCall | null;
  /** Rigs of this phone that have not answered it. */
  asked: RigScene["rigs"];
}

export const NOTHING_TOLD: Told = { message: undefined, rings: false, roll: null, asked: [] };

export function toldOf(scene: RigScene, oldOrders: readonly string[]): Told {
  const { state, now, picture, rigs } = scene;
  const isNew = (id: string, runId: string, atUtcMs: number) =>
    isStillSaid(runId, state, now) && now - atUtcMs < SHOWN_MS && !oldOrders.includes(id);
  const concerns = (to: readonly string[] | null) => rigs.some(({ rig }) => to?.includes(rig.id) ?? true);
  const newest = state.messages.findLast(
    (item) => isNew(item.messageId, item.runId, item.sentUtcMs) && concerns(item.rigIds),
  );
  const { roll } = state;
  const open = !picture.quiet && roll && isNew(roll.rollId, roll.runId, roll.sinceUtcMs) ? roll : null;
  return {
    message: picture.quiet && !(newest?.urgent && now - newest.sentUtcMs < RINGS_MS) ? undefined : newest,
    rings: picture.quiet,
    roll: open,
    asked: rigs.filter(
      ({ rig, record: { ready } }) =>
        open && (open.rigIds?.includes(rig.id) ?? true) && !(ready && ready.observedUtcMs >= open.sinceUtcMs),
    ),
  };
}

/** `sounds`: this phone can be heard. */
export function useSeenReport(
  session: PageSession,
  scene: RigScene | null,
  { message, rings }: Pick<Told, "message" | "rings">,
  sounds: boolean,
): void {
  const said = useRef(new Set<string>());
  useEffect(() => {
    if (!message || !scene || (rings ? !sounds : document.hidden)) return;
    for (const { rig } of scene.rigs) {
      const key = `${message.messageId} ${rig.id}`;
      if (!(message.rigIds?.includes(rig.id) ?? true) || message.seenBy[rig.id] || said.current.has(key))
        continue;
      said.current.add(key);
      session.report(rig.id, { messageSeen: message.messageId }).catch(() => said.current.delete(key));
    }
  });
}

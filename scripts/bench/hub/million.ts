/** Writes a site whose log holds a million reports, as a hub would have written it. */
import { openLog } from "../../../hub/log/site-folder.ts";
import { circumstances } from "../../../shared/eclipse/circumstances.ts";
import { eclipseById } from "../../../shared/eclipse/table.ts";
import { PlanDraftSchema } from "../../../shared/plan/model/plan.ts";
import { GOOD_CLOCK } from "../../../shared/run/doubt.ts";
import type { SiteEvent } from "../../../shared/run/events.ts";
import { evolve } from "../../../shared/run/evolve.ts";
import { parse } from "../../../shared/run/orders/commands.ts";
import { decide } from "../../../shared/run/orders/decide.ts";
import { EMPTY_STATE, EVOLVE_VERSION, type SiteState } from "../../../shared/run/state.ts";
import { utcMs } from "../../../shared/time/instants.ts";

export const EVENTS = 1_000_000;
const BATCH = 2000;
/** Events after the newest saved state: up to 2000 in a hub that runs. */
const AFTER_SNAPSHOT = 1000;
const RIGS = 20;

/** `say`: what comes one after the other; card and battery where nothing is said. */
export async function writeMillion(dataDir: string, snapshot: boolean, say = reported): Promise<void> {
  const log = openLog(dataDir, "site");
  const now = Date.UTC(2027, 6, 20);
  // One command, whatever number of events it makes.
  const events = planned(RIGS, now);
  let state: SiteState = events.reduce(evolve, EMPTY_STATE);
  await log.append({ sender: "bench", commandId: "plan", bodyHash: "0", answer: { ok: true }, events });
  while (state.seq < EVENTS) {
    const appends: Promise<void>[] = [];
    for (let n = 0; n < BATCH && state.seq < EVENTS; n++) {
      const event = say(state.seq + 1, now, RIGS);
      state = evolve(state, event);
      appends.push(
        log.append({
          sender: `device:phone-${state.seq % RIGS}`,
          commandId: event.commandId,
          bodyHash: "0".repeat(64),
          answer: { ok: true, seq: event.seq },
          events: [event],
        }),
      );
      if (snapshot && state.seq === EVENTS - AFTER_SNAPSHOT) {
        await Promise.all(appends.splice(0));
        log.saveSnapshot(EVOLVE_VERSION, state.seq, state);
      }
    }
    await Promise.all(appends);
  }
  await log.close();
}

/** The state of an invented site with so many tracked telescopes and nothing said yet. */
export function plannedState(rigCount: number, now: number): SiteState {
  return planned(rigCount, now).reduce(evolve, EMPTY_STATE);
}

function planned(rigCount: number, now: number): SiteEvent[] {
  const rigs = Array.from({ length: rigCount }, (_, n) => ({
    id: `rig-${n}`,
    name: `Rig ${n}`,
    kind: "tracked-telescope",
  }));
  const site = { name: "Bench field", latDeg: 25.5, lonDeg: 32.6 };
  const draft = parse(PlanDraftSchema, { eclipse: "2027-08-02", site, rigs });
  if (!draft.ok) throw new Error(draft.refusal.message);
  const decision = decide(
    EMPTY_STATE,
    { type: "savePlan", draft: draft.value, ifRevision: 0 },
    {
      now: utcMs(now),
      actor: "bench",
      commandId: "plan",
      newId: () => "bench",
      solve: (id, place) => {
        const elements = eclipseById(id);
        return elements && circumstances(elements, place);
      },
      zoneAt: () => "Africa/Cairo",
      clock: GOOD_CLOCK,
    },
  );
  if ("refusal" in decision) throw new Error(decision.refusal.message);
  return decision.events.map(
    (draft, index) => ({ ...draft, seq: index + 1, loggedUtcMs: utcMs(now) }) as SiteEvent,
  );
}

/** One of many reports, 50 ms after the one before it. */
export function reported(seq: number, now: number, rigCount: number): SiteEvent {
  const rigId = `rig-${seq % rigCount}`;
  return {
    seq,
    runId: "real-2027-08-02",
    type: "rigReported",
    v: 1,
    actor: `rig:${rigId}`,
    commandId: `fact-${seq}`,
    observedUtcMs: utcMs(now + seq * 50),
    loggedUtcMs: utcMs(now + seq * 50 + 8),
    boundMs: 2,
    deviceId: `phone-${seq % rigCount}`,
    deviceSeq: seq,
    payload: { rigId, batteryPct: seq % 100, cardFreeGB: (seq % 640) / 10, flags: [] },
  };
}

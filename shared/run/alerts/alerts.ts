/**
 * Alerts: only where somebody must act now. Pure: what stands at an instant; the hub remembers
 * since when (trackAlerts) and logs every change.
 *
 * danger   eyes or sensors are at stake now (S1, S5 before C2, S9)
 * caution  it will go wrong if nobody acts
 * advice   worth a look while there is time
 */

import { sunAt } from "../../eclipse/sun.ts";
import { localEclipse } from "../../plan/local-eclipse.ts";
import { isFilterAction } from "../../plan/model/vocabulary.ts";
import { isFilterOff } from "../../plan/safety/check-filter-cues.ts";
import { type UtcMs, utcMs } from "../../time/instants.ts";
import type { PutCue } from "../cues/instruction.ts";
import { mayBeOff } from "../cues/rig-times.ts";
import type { ClockHealth } from "../doubt.ts";
import type { EffectiveContacts } from "../effective-contacts.ts";
import type { AlertChange } from "../events.ts";
import type { SiteState } from "../state.ts";
import type { Presence } from "../views/presence.ts";
import type { RigStatus } from "../views/rig-status.ts";
import { type RunView, viewRun } from "../views/run-view.ts";
import type { HubCause } from "./hub-trouble.ts";

export type AlertPriority = AlertChange["priority"];
export type AlertCause =
  | "exposed"
  | "practice-off-real-sun"
  | "filter-unknown"
  | "filter-disputed"
  | "filter-late"
  | "still-filtered"
  | "not-capped"
  | "help"
  | "not-joined"
  | "link-lost"
  | "link-noisy"
  | "card-full"
  | "card-low"
  | "battery-low"
  | "clock-bound"
  | "clock-disputed"
  | "clock-stepped"
  | "laptop-slept"
  | "cover-latched"
  | "site-unconfirmed"
  | HubCause;

export interface StandingAlert {
  id: string;
  priority: AlertPriority;
  cause: AlertCause;
  rigId: string | null;
  /** Since when, where the state itself knows it; else it stands since it was first seen. */
  fromUtcMs?: UtcMs;
}

export interface Alert extends Omit<StandingAlert, "fromUtcMs"> {
  sinceUtcMs: UtcMs;
}

/** From how long before C2 an unknown filter or a lost link matters, ms. */
const NEAR_MS = 10 * 60_000;
/** From how long before C1 a rig that no phone has joined is advice: set-up begins. Common practice, no source. */
const SET_UP_MS = 60 * 60_000;
/** Cards and batteries: common practice, no source. */
const CARD_LOW_GB = 4;
const CARD_FULL_GB = 0.5;
const BATTERY_LOW_PCT = 20;

/** S1: whether bare photosphere can reach a lens at this site at a run time. */
export function isExposed(state: SiteState, contacts: EffectiveContacts, runNow: number): boolean {
  const site = state.plan.site;
  if (!site) return false;
  if (!sunAt(utcMs(runNow), site).up) return false;
  return !inTotality(state, contacts, runNow);
}

/** Between C2 and C3 at a site that is total: effective ones, but C2 not by a far shift alone. */
export function inTotality(state: SiteState, contacts: EffectiveContacts, runNow: number): boolean {
  if (localEclipse(state.circumstances).kind !== "total") return false;
  const { filterC2, c3 } = contacts;
  return filterC2 !== null && c3 !== null && runNow >= filterC2 && runNow < c3;
}

/** All alerts that stand at an instant, worst first. */
export function alertsAt(
  state: SiteState,
  presence: Presence,
  clock: ClockHealth,
  now: UtcMs,
): StandingAlert[] {
  return alertsOf(state, viewRun(state, presence, clock, now), clock);
}

export function alertsOf(state: SiteState, view: RunView, clock: ClockHealth): StandingAlert[] {
  const { run, contacts, runNow } = view;
  const alerts: StandingAlert[] = [];
  const raise = (
    priority: AlertPriority,
    cause: AlertCause,
    rigId: string | null = null,
    fromUtcMs?: UtcMs,
  ): void => {
    const id = rigId ? `${cause}:${rigId}` : cause;
    alerts.push({ id, priority, cause, rigId, ...(fromUtcMs === undefined ? {} : { fromUtcMs }) });
  };
  const exposed = isExposed(state, contacts, runNow);
  const beforeC2 = contacts.c2 !== null && runNow < contacts.c2;
  const nearC2 = beforeC2 && contacts.c2 !== null && contacts.c2 - runNow < NEAR_MS;
  const running =
    contacts.c1 !== null && contacts.c4 !== null && runNow > contacts.c1 - NEAR_MS && runNow < contacts.c4;
  const sunUp = state.plan.site !== null && sunAt(utcMs(runNow), state.plan.site).up;

  const joined = new Set(Object.values(state.devices).flatMap((device) => device.rigIds));
  for (const status of view.rigs) {
    const { rig } = status;
    const filtered = rig.filter !== "none by design";
    if (status.exposed) {
      const inRun = sunUp && !mayBeOff(status.allowance, status.times, runNow);
      raise("danger", inRun ? "exposed" : "practice-off-real-sun", rig.id);
    }
    if (filtered && exposed && running && status.filter === "unknown")
      raise("caution", "filter-unknown", rig.id);
    if (status.verdict.disputedBy.length > 0) raise("caution", "filter-disputed", rig.id);
    for (const cause of ["filter-late", "still-filtered", "not-capped"] as const)
      if (lateCue(status, cause)) raise("caution", cause, rig.id);
    if (status.help?.value) raise("caution", "help", rig.id, status.help.observedUtcMs);
    const lacking = joined.has(rig.id) ? null : lackOfPhone(status, contacts, runNow);
    if (lacking) raise(lacking, "not-joined", rig.id);
    if (running && status.linked.length === 0 && joined.has(rig.id)) raise("caution", "link-lost", rig.id);
    if (status.noisy) raise("caution", "link-noisy", rig.id);
    if (status.cardFreeGB !== null && status.cardFreeGB < CARD_FULL_GB) raise("caution", "card-full", rig.id);
    else if (status.cardFreeGB !== null && status.cardFreeGB < CARD_LOW_GB)
      raise("advice", "card-low", rig.id);
    if (status.batteryPct !== null && status.batteryPct < BATTERY_LOW_PCT)
      raise(status.batteryPct < BATTERY_LOW_PCT / 2 ? "caution" : "advice", "battery-low", rig.id);
  }
  if (state.cover) raise("danger", "cover-latched", null, state.cover.sinceUtcMs);
  const grave = run.kind === "real" && nearC2;
  if (clock.slept) raise(beforeC2 ? "danger" : "caution", "laptop-slept");
  // Asked in a practice, too: the answer is wanted before the real run.
  if (clock.stepped) raise(grave ? "danger" : "caution", "clock-stepped");
  else if (clock.disputed && run.kind === "real") raise(grave ? "danger" : "caution", "clock-disputed");
  if (run.kind === "real" && clock.hubBoundMs > 1000 && beforeC2)
    raise(grave ? "danger" : "advice", "clock-bound");
  if (state.plan.site && !state.plan.site.confirmed) raise(grave ? "caution" : "advice", "site-unconfirmed");
  return alerts.sort((a, b) => PRIORITY_RANK[a.priority] - PRIORITY_RANK[b.priority]);
}

/** The worst first. */
export const PRIORITY_RANK: Record<AlertPriority, number> = { danger: 0, caution: 1, advice: 2 };

/** Causes that a cue past its window stands behind. */
export type LateCause = Extract<AlertCause, "filter-late" | "still-filtered" | "not-capped">;

/**
 * The cue that waits past its window for this cause: a filter or cap that is not on yet, or a
 * filter that could come off by now while nobody has said that it did.
 */
export function lateCue({ cues }: Pick<RigStatus, "cues">, cause: LateCause): PutCue | undefined {
  return cues.find(({ state, mode, cue }) => {
    if (state !== "late") return false;
    if (cause === "still-filtered") return mode === "plain" && isFilterOff(cue);
    return cue.action === (cause === "filter-late" ? "filter-on" : "cap");
  });
}

/**
 * R14: how grave it is that nobody has ever joined a rig and nothing is heard of it. From an hour
 * before C1 to C4; worse from ten minutes before the rig's first filter cue, or before C1 where its
 * filter only stays on. A rig without a filter by design loses pictures at most: it stays advice.
 */
function lackOfPhone(status: RigStatus, { c1, c4 }: EffectiveContacts, runNow: number): AlertPriority | null {
  if (!status.silent || c1 === null || c4 === null) return null;
  if (runNow < c1 - SET_UP_MS || runNow >= c4) return null;
  if (status.rig.filter === "none by design") return "advice";
  const first = status.cues.find(({ cue }) => isFilterAction(cue.action));
  return runNow >= (first?.dueMs ?? c1) - NEAR_MS ? "caution" : "advice";
}

/** Carries over since when each standing alert stands. */
export function trackAlerts(
  before: readonly Alert[],
  standing: readonly StandingAlert[],
  now: UtcMs,
): { alerts: Alert[]; raised: Alert[]; cleared: Alert[] } {
  const alerts = standing.map(({ fromUtcMs, ...alert }) => {
    const old = before.find((other) => other.id === alert.id && other.priority === alert.priority);
    return { ...alert, sinceUtcMs: old?.sinceUtcMs ?? fromUtcMs ?? now };
  });
  return {
    alerts,
    raised: alerts.filter(
      (alert) => !before.some((old) => old.id === alert.id && old.priority === alert.priority),
    ),
    cleared: before.filter(
      (old) => !standing.some((alert) => alert.id === old.id && alert.priority === old.priority),
    ),
  };
}

/**
 * Where the model touches the code under test, and the only file that does: a hub that decides and
 * folds, a phone's scene and taps, a board. Changed signatures are to be taken up here; the oracle
 * sees nothing but the types of this file.
 */
import { type BoardView, boardView } from "../../../console/board/board-view.ts";
import { offerOf } from "../../../console/rig/run/offer.ts";
import { confirmTap, filterTap, setFilter, type Tap } from "../../../console/rig/run/rig-reports.ts";
import { type RigScene, rigScene } from "../../../console/rig/run/rig-scene.ts";
import type { CueLine } from "../../../console/rig/run/run-picture.ts";
import { boardSnapshot } from "../../../hub/feeds/board-snapshot.ts";
import { circumstances } from "../../../shared/eclipse/circumstances.ts";
import type { Circumstances } from "../../../shared/eclipse/circumstances-types.ts";
import { sunAt } from "../../../shared/eclipse/sun.ts";
import { eclipseById } from "../../../shared/eclipse/table.ts";
import { Replica } from "../../../shared/link/replica.ts";
import type { QueuedFact, SessionView } from "../../../shared/link/session-types.ts";
import { localEclipse } from "../../../shared/plan/local-eclipse.ts";
import type { Cue } from "../../../shared/plan/model/cue.ts";
import type { Plan, PlanDraft } from "../../../shared/plan/model/plan.ts";
import { PlanDraftSchema } from "../../../shared/plan/model/plan.ts";
import { isLookUp } from "../../../shared/plan/safety/check-eye-cues.ts";
import { isFilterOff } from "../../../shared/plan/safety/check-filter-cues.ts";
import type { BoardSnapshot } from "../../../shared/protocol/messages.ts";
import type { ClockHealth } from "../../../shared/run/doubt.ts";
import type { SiteEvent } from "../../../shared/run/events.ts";
import { evolve } from "../../../shared/run/evolve.ts";
import { decideFact } from "../../../shared/run/facts/decide-fact.ts";
import type { Report } from "../../../shared/run/facts/report-schema.ts";
import type { EventDraft } from "../../../shared/run/logged-event.ts";
import type { Order } from "../../../shared/run/orders/commands.ts";
import { parse } from "../../../shared/run/orders/commands.ts";
import { decide } from "../../../shared/run/orders/decide.ts";
import type { Context } from "../../../shared/run/orders/decision.ts";
import { currentRun } from "../../../shared/run/run-time.ts";
import { EMPTY_STATE, type SiteState } from "../../../shared/run/state.ts";
import type { LinkedDevice, Presence } from "../../../shared/run/views/presence.ts";
import type { RigStatus } from "../../../shared/run/views/rig-status.ts";
import { type RunView, viewRun } from "../../../shared/run/views/run-view.ts";
import { utcMs } from "../../../shared/time/instants.ts";
import type { Spot } from "./places.ts";

export type { Order, Plan, Report, SiteState };

/** What is known of a clock: this device against the hub, and the hub against UTC. */
export interface ClockSaid {
  boundMs: number;
  hubBoundMs: number;
  apartMs: number;
  disputed: boolean;
  stepped: boolean;
}

const health = ({ boundMs, hubBoundMs, apartMs, disputed, stepped }: ClockSaid): ClockHealth =>
  ({ boundMs, hubBoundMs, apartMs, disputed: disputed || stepped, stepped, slept: false }) as ClockHealth;

/** The sky as it is predicted for a place: data of the solver, no rule in it. */
export interface Predicted {
  kind: "none" | "partial" | "annular" | "total";
  c1: number | null;
  c2: number | null;
  max: number | null;
  c3: number | null;
  c4: number | null;
  /** Seconds between C2 and C3 of a totality, else 0. */
  lengthS: number;
  /** The bound on C2 and C3, seconds. */
  placeS: number;
}

function solve(eclipse: string, site: Omit<Spot, "eclipse">, placeBoundM: number): Circumstances | undefined {
  const elements = eclipseById(eclipse);
  return elements && circumstances(elements, { ...site, heightM: 0 }, { placeBoundM });
}

export function predict(spot: Spot, placeBoundM: number): Predicted {
  const solved = solve(spot.eclipse, spot, placeBoundM);
  if (!solved) throw new Error(`eclipse ${spot.eclipse} is not in the table`);
  const { kind, contacts, totalityS } = localEclipse(solved);
  return { kind, ...contacts, lengthS: totalityS, placeS: solved.timingBoundS };
}

export function sunIsUp(atUtcMs: number, spot: Spot): boolean {
  return sunAt(utcMs(atUtcMs), spot).up;
}

export function readDraft(input: unknown): PlanDraft {
  const parsed = parse(PlanDraftSchema, input);
  if (!parsed.ok) throw new Error(parsed.refusal.message);
  return parsed.value;
}

// ---------------------------------------------------------------- hub

export class Hub {
  state: SiteState = EMPTY_STATE;
  private ids = 0;

  /** The refusal's code, or null when it was taken; a call that stands already is taken and nothing happens. */
  order(
    order: Order,
    nowMs: number,
    clock: ClockSaid,
  ): { refused: string | null; commandId: string; happened: boolean } {
    const commandId = `c${++this.ids}`;
    const context: Context = {
      now: utcMs(nowMs),
      actor: "lead:Ada",
      commandId,
      newId: () => `n${++this.ids}`,
      solve: (eclipse, site) => solve(eclipse, site, site.placeBoundM),
      zoneAt: () => "UTC",
      clock: health(clock),
    };
    const decision = decide(this.state, order, context);
    if ("refusal" in decision) return { refused: decision.refusal.code, commandId, happened: false };
    this.take(decision.events, nowMs);
    return { refused: null, commandId, happened: decision.events.length > 0 };
  }

  fact(item: QueuedFact, deviceId: string, nowMs: number, linkRevoked: boolean): void {
    const { rigId } = item.fact;
    const from = { actor: `rig:${rigId}`, commandId: item.id, deviceId, now: utcMs(nowMs), linkRevoked };
    this.take([decideFact(this.state, item.fact, from)], nowMs);
  }

  private take(drafts: readonly EventDraft[], nowMs: number): void {
    for (const draft of drafts) {
      const event = { ...draft, seq: this.state.seq + 1, loggedUtcMs: utcMs(nowMs) } as SiteEvent;
      this.state = evolve(this.state, event);
    }
  }

  view(nowMs: number, clock: ClockSaid, presence: Presence): CuesByRig {
    return cuesOf(viewRun(this.state, presence, health(clock), utcMs(nowMs)).rigs);
  }
}

/** Calls of the run that is on, standing ones, newest last. */
export function standingCalls(state: SiteState, nowMs: number): { callId: string; call: string }[] {
  return currentRun(state, utcMs(nowMs)).calls.filter((call) => !call.takenBack && !call.ended);
}

export function presenceOf(linked: readonly { deviceId: string; rigIds: readonly string[] }[]): Presence {
  const rigs: Record<string, LinkedDevice[]> = {};
  for (const { deviceId, rigIds } of linked)
    for (const id of rigIds) {
      const device = {
        deviceId,
        label: "phone",
        boundMs: 5,
        utcBoundMs: 5,
        armed: true,
        sinceUtcMs: utcMs(0),
      };
      rigs[id] = [...(rigs[id] ?? []), device];
    }
  return { rigs };
}

// ---------------------------------------------------------------- what is shown

export interface ShownCue {
  rigId: string;
  cueId: string;
  action: Cue["action"];
  state: string;
  dueMs: number;
  /** It would be read as an order to unfilter optics or eyes. */
  unfilters: "filter-off" | "look-up" | null;
  /** The headline is a lead's own words with nothing of ours above them (S14). */
  ownWordsAlone: boolean;
}

export type CuesByRig = Readonly<Record<string, readonly { action: Cue["action"]; state: string }[]>>;

export interface PhoneShows {
  scene: RigScene;
  instruction: ShownCue | null;
  /** What the same sentence tells other rigs of the phone at once. */
  together: ShownCue[];
  /** The instruction is due, not one to come. */
  due: boolean;
  /** What is due as well and stands behind the instruction. */
  behind: ShownCue[];
  upcoming: ShownCue[];
  /** What the big button and the keys stand for. */
  button:
    | { kind: "confirm"; line: ShownCue }
    | { kind: "question"; rigId: string }
    | { kind: "totality"; rigIds: string[] }
    | { kind: "none" };
  cues: CuesByRig;
}

export interface PhoneHolds {
  base: SiteState;
  queue: readonly QueuedFact[];
  deviceId: string;
  nowMs: number;
  clock: ClockSaid;
  cover: boolean;
  rigIds: readonly string[];
  revoked: readonly string[];
  linked: boolean;
  presence: Presence;
}

export function phoneShows(holds: PhoneHolds): PhoneShows | null {
  const replica = new Replica();
  replica.load("epoch", holds.base);
  const now = utcMs(holds.nowMs);
  const { boundMs, hubBoundMs } = holds.clock;
  const session: SessionView = {
    linkState: holds.linked ? "linked" : "alone",
    sinceUtcMs: now,
    state: replica.withQueued(holds.queue, holds.deviceId, now),
    presence: holds.presence,
    alerts: [],
    cover: holds.cover,
    rigIds: holds.rigIds,
    refusedRigs: holds.revoked.map((id) => ({ rigId: id, reason: "revoked" })),
    links: [],
    formerKept: [],
    queued: holds.queue.length,
    rejected: [],
    missedOf: [],
    oldOrders: [],
    refused: null,
    clockHealth: health(holds.clock),
  };
  const utcBoundMs = boundMs + hubBoundMs;
  const state = holds.linked ? "linked" : "holdover";
  const scene = rigScene(session, { utcMs: now, boundMs, utcBoundMs, state }, holds.rigIds);
  if (!scene) return null;
  const { picture } = scene;
  const cues = cuesOf(scene.rigs);
  // The cover lies over the whole page; under it there is no headline and nothing to press.
  if (scene.cover)
    return {
      scene,
      instruction: null,
      together: [],
      due: false,
      behind: [],
      upcoming: [],
      button: { kind: "none" },
      cues,
    };
  return {
    scene,
    instruction: picture.instruction && shown(picture.instruction),
    together: picture.together.map(shown),
    due: picture.due,
    behind: picture.lines
      .filter((line) => line !== picture.instruction && (line.state === "now" || line.state === "late"))
      .map(shown),
    upcoming: picture.upcoming.map(shown),
    button: buttonOf(scene),
    cues,
  };
}

function buttonOf(scene: RigScene): PhoneShows["button"] {
  const offer = offerOf(scene);
  switch (offer.kind) {
    case "confirm":
      return { kind: "confirm", line: shown(offer.line) };
    case "question":
      return { kind: "question", rigId: offer.status.rig.id };
    case "totality":
      return { kind: "totality", rigIds: [...offer.rigIds] };
    default:
      return { kind: "none" };
  }
}

function shown(line: CueLine): ShownCue {
  const { cue, mode } = line;
  const plain = mode === "plain";
  const looksUp = isLookUp(cue);
  return {
    rigId: line.rigId,
    cueId: line.id,
    action: cue.action,
    state: line.state,
    dueMs: line.dueMs,
    unfilters: plain && isFilterOff(cue) ? "filter-off" : plain && looksUp ? "look-up" : null,
    ownWordsAlone: plain && cue.say !== null && line.ownWords === "headline",
  };
}

function cuesOf(rigs: readonly RigStatus[] | RunView["rigs"]): CuesByRig {
  return Object.fromEntries(
    rigs.map(({ rig, cues }) => [rig.id, cues.map(({ cue, state }) => ({ action: cue.action, state }))]),
  );
}

// ---------------------------------------------------------------- taps

const statusOf = ({ scene }: PhoneShows, id: string) => scene.rigs.find(({ rig }) => rig.id === id);

export interface Press {
  tap: Tap;
  /** What the tap says of a filter, whether or not the report spells it out; null: nothing. */
  word: "on" | "off" | "unknown" | "capped" | null;
}

/** A press of the big button or of any key. */
export function pressConfirm(shows: PhoneShows): Press | null {
  const { button, scene } = shows;
  if (button.kind !== "confirm") return null;
  const line = scene.picture.confirm;
  const status = line && statusOf(shows, line.rigId);
  if (!line || !status) return null;
  const tap = confirmTap(line, status);
  const { action } = line.cue;
  const said = action === "filter-on" ? "on" : action === "filter-off" ? "off" : null;
  return { tap, word: tap.report.filter ?? (line.mode === "touch" ? null : said) };
}

/** A tap on the filter's own button, null where the page asks instead. */
export function pressFilter(shows: PhoneShows, id: string): Press | null {
  const status = statusOf(shows, id);
  const tap = status && filterTap(status, shows.scene.picture.lines);
  return tap ? { tap, word: tap.report.filter ?? null } : null;
}

export function sayFilter(
  shows: PhoneShows,
  id: string,
  word: "on" | "off" | "unknown" | "capped",
  looked: boolean,
): Press | null {
  const status = statusOf(shows, id);
  if (!status || status.rig.filter === "none by design") return null;
  return { tap: setFilter(status, word, shows.scene.picture.lines, looked), word };
}

/** What a phone that is told of no events keeps of a report the hub has taken (L9). */
export function keptBy(base: SiteState, item: QueuedFact, deviceId: string, nowMs: number): SiteState {
  const replica = new Replica();
  replica.load("epoch", base);
  replica.keep(item, deviceId, utcMs(nowMs));
  return replica.base ?? base;
}

export function planHasCue(state: SiteState, id: string, cueId: string): boolean {
  return state.plan.rigs.find((rig) => rig.id === id)?.cues.some((cue) => cue.id === cueId) ?? false;
}

export function runIdOf(base: SiteState, nowMs: number): string {
  return currentRun(base, utcMs(nowMs)).runId;
}

// ---------------------------------------------------------------- board

export type { BoardSnapshot };

export function snapshotOf(hub: Hub, nowMs: number, clock: ClockSaid): BoardSnapshot {
  return boardSnapshot(hub.state, utcMs(nowMs), health(clock));
}

/** Whether the board's one line takes glasses off. `alone`: it has no hub. As in board-page.tsx. */
export function boardUnfilters(
  snapshot: BoardSnapshot,
  nowMs: number,
  clock: ClockSaid,
  alone: boolean,
): boolean {
  const { filterC3, safeC3 } = snapshot.contacts;
  const ofHub = snapshot.practice !== null || safeC3 !== filterC3;
  const boundMs = ofHub ? clock.boundMs : clock.boundMs + clock.hubBoundMs;
  const view: BoardView = boardView(snapshot, utcMs(nowMs), {
    boundMs,
    linked: !alone,
    cover: snapshot.cover,
  });
  return view.glasses === "off";
}

/** A small site for the tests of shared/run: orders and facts go in, the state and its log come out. */
import { circumstances } from "../../../shared/eclipse/circumstances.ts";
import { eclipseById } from "../../../shared/eclipse/table.ts";
import type { PlanDraft } from "../../../shared/plan/model/plan.ts";
import { PlanDraftSchema } from "../../../shared/plan/model/plan.ts";
import { type ClockHealth, GOOD_CLOCK } from "../../../shared/run/doubt.ts";
import { contactsOf, type EffectiveContacts } from "../../../shared/run/effective-contacts.ts";
import type { SiteEvent } from "../../../shared/run/events.ts";
import { evolve } from "../../../shared/run/evolve.ts";
import { decideFact } from "../../../shared/run/facts/decide-fact.ts";
import { FACT_BOUNDS } from "../../../shared/run/facts/fact-bounds.ts";
import type { Report } from "../../../shared/run/facts/report-schema.ts";
import type { EventDraft } from "../../../shared/run/logged-event.ts";
import type { Fact, Order } from "../../../shared/run/orders/commands.ts";
import { parse } from "../../../shared/run/orders/commands.ts";
import { decide } from "../../../shared/run/orders/decide.ts";
import { type Context, type Decision, draftOf } from "../../../shared/run/orders/decision.ts";
import { currentRun } from "../../../shared/run/run-time.ts";
import { EMPTY_STATE, type SiteState } from "../../../shared/run/state.ts";
import { NOBODY, type Presence } from "../../../shared/run/views/presence.ts";
import type { RigStatus } from "../../../shared/run/views/rig-status.ts";
import { viewRun } from "../../../shared/run/views/run-view.ts";
import { type UtcMs, utcMs } from "../../../shared/time/instants.ts";

/** An invented site on the path of 2027-08-02, and one beside it where the eclipse is partial. */
export const PALM_FIELD = { name: "Palm Field", latDeg: 25.5, lonDeg: 32.6, heightM: 80 };
export const NORTH_SHORE = { name: "North Shore", latDeg: 36, lonDeg: 32.6, heightM: 10 };

export const RIGS = [
  { id: "west", name: "West telescope", kind: "tracked-telescope", focalLengthMm: 480 },
  { id: "eye", name: "Eyepiece", kind: "visual-telescope", lookedThrough: true, focalLengthMm: 1200 },
  { id: "wide", name: "Horizon camera", kind: "wide-camera", filter: "none by design", focalLengthMm: 14 },
] as const;

export function draft(rest: Record<string, unknown> = {}): PlanDraft {
  const parsed = parse(PlanDraftSchema, { eclipse: "2027-08-02", site: PALM_FIELD, rigs: RIGS, ...rest });
  if (!parsed.ok) throw new Error(parsed.refusal.message);
  return parsed.value;
}

/** A device as it reports. */
export interface Said {
  at: number;
  device?: string;
  seq?: number;
  runId?: string | null;
  /** When it reaches the hub; at once when left out. */
  arrives?: number;
  linkRevoked?: boolean;
}

export class SiteWorld {
  state: SiteState = EMPTY_STATE;
  readonly log: SiteEvent[] = [];
  clock: ClockHealth = GOOD_CLOCK;
  /** Who gives the orders. */
  lead = "lead:Ada";
  private ids = 0;

  /** A site with a saved plan, long before its eclipse. */
  static planned(rest: Record<string, unknown> = {}, at = Date.UTC(2027, 6, 20)): SiteWorld {
    const world = new SiteWorld();
    const saved = world.order({ type: "savePlan", draft: draft(rest), ifRevision: 0 }, at);
    if ("refusal" in saved) throw new Error(saved.refusal.message);
    return world;
  }

  context(now: number): Context {
    return {
      now: utcMs(now),
      actor: this.lead,
      commandId: `command-${++this.ids}`,
      newId: () => `id-${++this.ids}`,
      solve: (id, site) => {
        const elements = eclipseById(id);
        return elements && circumstances(elements, site, { placeBoundM: site.placeBoundM });
      },
      zoneAt: () => "Africa/Cairo",
      clock: this.clock,
    };
  }

  order(order: Order, now: number): Decision {
    const decision = decide(this.state, order, this.context(now));
    if ("events" in decision) this.take(decision.events, now);
    return decision;
  }

  report(rigId: string, report: Report, said: Said): SiteEvent {
    const { at, device = `phone-${rigId}`, seq = ++this.ids, runId = null, arrives = at } = said;
    const fact: Fact = {
      v: 1,
      rigId,
      runId,
      deviceSeq: seq,
      observedUtcMs: at,
      boundMs: 5,
      report,
    };
    const event = decideFact(this.state, fact, {
      actor: `rig:${rigId}`,
      commandId: `fact-${device}-${seq}`,
      deviceId: device,
      now: utcMs(arrives),
      linkRevoked: said.linkRevoked ?? false,
      bounds: FACT_BOUNDS,
    });
    this.take([event], arrives);
    return this.log.at(-1) as SiteEvent;
  }

  /** The hub notes that a device has joined a rig, or several. */
  joined(rig: string | readonly string[], now: number): void {
    const rigIds = [rig].flat();
    const payload = { deviceId: `phone-${rigIds[0]}`, rigIds, label: "phone" };
    this.take([draftOf(this.context(now), this.state.realRunId, "deviceJoined", payload)], now);
  }

  take(drafts: readonly EventDraft[], now: number): void {
    for (const item of drafts) {
      const event = { ...item, seq: this.state.seq + 1, loggedUtcMs: utcMs(now) } as SiteEvent;
      this.log.push(event);
      this.state = evolve(this.state, event);
    }
  }

  /** Starts a practice and gives its id. */
  practise(now: number, offsetS = -180, rate = 1, anchor: "C1" | "C2" | "C3" | "max" = "C2"): string {
    const decision = this.order({ type: "startPractice", anchor, offsetS, rate }, now);
    if ("refusal" in decision) throw new Error(decision.refusal.message);
    return this.state.practice?.runId ?? "";
  }

  contacts(now: number): EffectiveContacts {
    return contactsOf(this.state, currentRun(this.state, utcMs(now)));
  }

  /** The predicted contacts, which this site has all. */
  get predicted(): { c1: number; c2: number; max: number; c3: number; c4: number } {
    const { c1, c2, max, c3, c4 } = contactsOf(this.state, { shifts: {}, calls: [] } as never);
    if (c1 === null || c2 === null || max === null || c3 === null || c4 === null) {
      throw new Error("this site has no totality");
    }
    return { c1, c2, max, c3, c4 };
  }

  rig(id: string, now: number, presence: Presence = NOBODY): RigStatus {
    const found = viewRun(this.state, presence, this.clock, utcMs(now)).rigs.find(
      (item) => item.rig.id === id,
    );
    if (!found) throw new Error(`no rig ${id}`);
    return found;
  }

  view(now: number, presence: Presence = NOBODY) {
    return viewRun(this.state, presence, this.clock, utcMs(now));
  }
}

/** Somebody linked to each of these rigs. */
export function linkedTo(...rigIds: string[]): Presence {
  const device = (id: string) => ({
    deviceId: `phone-${id}`,
    label: "phone",
    boundMs: 2,
    utcBoundMs: 10,
    armed: true,
    sinceUtcMs: 0 as UtcMs,
  });
  return { rigs: Object.fromEntries(rigIds.map((id) => [id, [device(id)]])) };
}

/** Replays events as a hub does that reads them from its file. */
export function replayed(events: readonly SiteEvent[], upcast: (event: SiteEvent) => SiteEvent): SiteState {
  let state = EMPTY_STATE;
  for (const event of JSON.parse(JSON.stringify(events)) as SiteEvent[]) state = evolve(state, upcast(event));
  return state;
}

/** As it would be read back from a file: no `undefined`, no negative zero. */
export function asJson<Value>(value: Value): Value {
  return JSON.parse(JSON.stringify(value)) as Value;
}

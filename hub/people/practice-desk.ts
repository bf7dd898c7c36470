/**
 * Runs a practice programme (shared/run/orders/practice-programme.ts): simulated operators come in over
 * real sockets for rigs where nobody is, faults come when they are planned or when a lead throws them,
 * the segment is repeated after its pause. Simulated operators leave with the run.
 *
 * What stands is in the log, and what comes after a pause is kept beside it, so a hub that starts anew in
 * the middle goes on. A repeat that should have begun while the hub was away for long is left out: nobody
 * stands at the rigs any more.
 */
import type { Steps } from "../../shared/eclipse/steps.ts";
import { ownValue } from "../../shared/fields/own-key.ts";
import { handsOfRigs } from "../../shared/plan/hands/hands-of-rigs.ts";
import { type HandsOfOperator, planHands } from "../../shared/plan/hands/hands-plan.ts";
import { localEclipse } from "../../shared/plan/local-eclipse.ts";
import { anchorMs } from "../../shared/run/effective-contacts.ts";
import type { PracticeStarted, SiteEvent } from "../../shared/run/events.ts";
import { isPlayed } from "../../shared/run/facts/played.ts";
import { newest } from "../../shared/run/facts/registers.ts";
import type { Order } from "../../shared/run/orders/commands.ts";
import type { Fault, ProgrammeOrder } from "../../shared/run/orders/practice-programme.ts";
import { type Refusal, refusal } from "../../shared/run/orders/refusal.ts";
import { practiceAt } from "../../shared/run/run-time.ts";
import type { SiteState } from "../../shared/run/state.ts";
import { type RunView, viewRigs } from "../../shared/run/views/run-view.ts";
import type { FaultKind } from "../../shared/run/vocabulary.ts";
import { type UtcMs, utcMs } from "../../shared/time/instants.ts";
import type { HubClock } from "../clock/hub-clock.ts";
import { newId } from "../new-id.ts";
import { clockHealthOf } from "../site/alert-desk.ts";
import type { Keys } from "../site/keys.ts";
import type { PresenceBook } from "../site/presence.ts";
import type { SiteKeeper } from "../site/site-keeper.ts";
import { Operator } from "./operator.ts";
import { beginFault } from "./practice-faults.ts";
import { standIn } from "./stand-in.ts";
import { WorkOfHands } from "./work-of-hands.ts";

const LOOK_MS = 250;
/** A planned fault that lies longer back when the hub sees the run came before it was started. */
const MISSED_MS = 3000;
/** A repeat whose pause ended so long ago is begun by nobody any more. Common practice, no source. */
const TOO_LATE_MS = 5 * 60_000;
const ACTOR = "practice";

interface DeskPorts {
  keeper: SiteKeeper;
  keys: Keys;
  clock: HubClock;
  presence: PresenceBook;
  /** Where this hub answers on its own machine. */
  ownUrl: () => string;
  /** The repeat that a pause waits for, kept over a restart; null where there is none. */
  kept: { get: () => unknown; set: (next: NextPart | null) => void };
  /** A long computation, in steps between others (hub/compute-queue.ts); undefined where too many wait. */
  inTurn: <Result>(key: string, steps: () => Steps<Result>) => Promise<{ result: Result } | undefined>;
  /** Keeps these rigs' phones out until what it gives is called. */
  holdBack: (rigIds: readonly string[]) => () => void;
  onBug: (error: unknown) => void;
}

export interface ThrownFault {
  kind: FaultKind;
  rigIds: readonly string[] | null;
  atUtcMs: UtcMs;
  /** When it is over; of what does not last, at once. */
  untilUtcMs: UtcMs;
  on: boolean;
}

/** The next part of a programme, as it is ordered. */
type Repeat = Extract<Order, { type: "startPractice" }> & { programme: ProgrammeOrder };

interface NextPart {
  atUtcMs: UtcMs;
  part: number;
  repeats: number;
  order: Repeat;
  /** The part that it follows. */
  after: PracticeStarted;
}

interface Standing {
  fault: ThrownFault;
  end: () => void;
}

export class PracticeDesk {
  private readonly operators = new Map<string, Operator>();
  private readonly timer: NodeJS.Timeout;
  private readonly planned = new Set<number>();
  private standing: Standing[] = [];
  private thrown: ThrownFault[] = [];
  private current: PracticeStarted | null = null;
  private next: NextPart | null = null;
  private seenSince: UtcMs;
  /** What everybody's hands do, of the plan as it stands; null until it is worked out. */
  private work: { plan: SiteState["plan"]; order: WorkOfHands | null } | null = null;

  constructor(private readonly ports: DeskPorts) {
    this.seenSince = ports.clock.now();
    // Of one that ended while the hub was away, its end is noted from now on.
    this.current = ports.keeper.state.practice;
    const next = ports.kept.get() as NextPart | undefined;
    if (next && !this.current && this.seenSince - next.atUtcMs < TOO_LATE_MS) {
      this.next = next;
      this.current = next.after;
    } else if (next) ports.kept.set(null);
    this.timer = setInterval(() => this.tick(), LOOK_MS);
    ports.keeper.on("events", (events) => this.note(events));
    // Whoever wants every lens covered must reach everybody, logged or not (S7).
    ports.keeper.on("cover", () => this.endFaults(() => true));
  }

  /** What is being played now, and what comes. */
  status() {
    const practice = practiceAt(this.ports.keeper.state, this.ports.clock.now());
    return {
      runId: practice?.runId ?? null,
      programme: practice?.programme ?? null,
      nextAtUtcMs: this.next?.atUtcMs ?? null,
      next: this.next && { part: this.next.part, repeats: this.next.repeats },
      lastRunId: this.current?.runId ?? null,
      played: [...this.operators.keys()],
      faults: this.thrown,
    };
  }

  /** In a pause: the next repeat begins now. False where none is to come. */
  hurry(): boolean {
    if (!this.next) return false;
    this.next.atUtcMs = this.ports.clock.now();
    this.tick();
    return true;
  }

  /** No repeat comes after this. False where none was to come. */
  stop(): boolean {
    const had = this.next !== null;
    this.setNext(null);
    return had;
  }

  /** Throws a fault into the practice that is on. A refusal where there is none, or nothing to do. */
  throwIn(fault: Fault, by: string): Refusal | null {
    const { keeper, clock } = this.ports;
    const now = clock.now();
    const practice = practiceAt(keeper.state, now);
    if (!practice) return refusal("no-practice", "no practice run is on");
    if (keeper.state.cover)
      return refusal("safety-rule", "S7: every lens is covered until a lead releases it", {
        rule: "S7",
        data: { reason: "covered" },
      });
    const { rigs } = keeper.state.plan;
    if (fault.rigIds?.some((id) => !rigs.some((rig) => rig.id === id)))
      return refusal("not-found", "rigIds names no rig of this plan", { field: "rigIds" });
    const rigIds = fault.rigIds ?? rigs.map(({ id }) => id);
    const end = beginFault(fault, rigIds, {
      operators: this.operators,
      people: new Set(rigIds.filter((id) => this.persons(id))),
      view: this.view(now, null),
      holdBack: this.ports.holdBack,
      newId,
      note: (type, payload) => void keeper.note(type, payload, practice.runId),
    });
    if (!end)
      return refusal("bad-input", `there is nobody and nothing for “${fault.kind}” now`, { field: "kind" });
    const lasts = fault.kind !== "phone reload" && fault.kind !== "contact early";
    const untilUtcMs = utcMs(now + (lasts ? fault.forS * 1000 : 0));
    const thrown = { kind: fault.kind, rigIds: fault.rigIds, atUtcMs: now, untilUtcMs, on: lasts };
    this.thrown = [...this.thrown, thrown];
    if (lasts) this.standing.push({ fault: thrown, end });
    const payload = { kind: fault.kind, rigIds: fault.rigIds, forS: lasts ? fault.forS : 0, by };
    void keeper.note("practiceFault", payload, practice.runId);
    return null;
  }

  /** Ends faults of a kind before their time. A refusal where none is on. */
  endFault(kind: FaultKind): Refusal | null {
    const on = this.standing.some(({ fault }) => fault.kind === kind);
    if (!on) return refusal("no-practice", `no “${kind}” is on`, { field: "kind" });
    this.endFaults((fault) => fault.kind === kind);
    return null;
  }

  close(): void {
    clearInterval(this.timer);
    this.leave();
  }

  private note(events: readonly SiteEvent[]): void {
    for (const event of events) {
      if (event.type === "practiceStarted") this.setNext(null);
      if (event.type === "practiceEnded" && event.payload.reason === "segment")
        this.plan(event.payload.runId);
    }
    // Nothing here hangs on what rigs report, and of reports there are many.
    if (events.some(({ type }) => type !== "rigReported")) this.tick();
  }

  private plan(runId: string): void {
    const ended = this.current;
    if (ended?.runId !== runId || !ended.programme || ended.programme.part >= ended.programme.repeats) return;
    const { anchor, offsetS, rate, programme } = ended;
    const part = programme.part + 1;
    this.setNext({
      atUtcMs: utcMs(this.ports.clock.now() + programme.pauseS * 1000),
      part,
      repeats: programme.repeats,
      after: ended,
      order: {
        type: "startPractice",
        anchor: anchor as "C2",
        offsetS,
        rate,
        programme: { ...programme, part },
      },
    });
  }

  private setNext(next: NextPart | null): void {
    if (!next && !this.next) return;
    this.next = next;
    this.ports.kept.set(next);
  }

  private tick(): void {
    try {
      this.look();
    } catch (error) {
      this.ports.onBug(error);
    }
  }

  private look(): void {
    const { keeper, clock } = this.ports;
    const now = clock.now();
    const practice = practiceAt(keeper.state, now);
    if (practice?.runId !== this.current?.runId) {
      this.leave();
      // Kept when it is over: the event that says why comes after.
      if (practice) this.current = practice;
      this.planned.clear();
      this.thrown = practice ? [] : this.thrown;
    }
    if (!practice) {
      if (this.next && now >= this.next.atUtcMs) {
        const { order } = this.next;
        this.setNext(null);
        this.order({
          ...order,
          programme: { ...order.programme, safe: this.stillSafe(order.programme.safe) },
        });
      }
      return;
    }
    this.endFaults(({ untilUtcMs }) => now >= untilUtcMs);
    const { programme } = practice;
    if (!programme) return;
    for (const rigId of programme.played) this.play(rigId, programme.id);
    this.throwPlanned(practice, now);
  }

  /** A simulated operator is there as long as no person is. */
  private play(rigId: string, seed: string): void {
    const { keeper, keys, ownUrl } = this.ports;
    const { state } = keeper;
    const known = this.operators.get(rigId);
    const rig = state.plan.rigs.find(({ id }) => id === rigId);
    if (!rig || this.persons(rigId)) {
      known?.leave();
      this.operators.delete(rigId);
      return;
    }
    if (!this.workNow()) return;
    const operator = known ?? new Operator(standIn(rig, seed), ownUrl(), newId(), () => this.workNow());
    this.operators.set(rigId, operator);
    operator.join(keys.rigToken(rigId, ownValue(state.generations, rigId) ?? 0));
  }

  /** Whoever has several rigs in their hands keeps to the order that was worked out for them; null until it is. */
  private workNow(): WorkOfHands | null {
    const { plan, circumstances } = this.ports.keeper.state;
    if (this.work?.plan !== plan) {
      // Of a plan that was changed in the middle the old order stands until the new one is known.
      this.work = { plan, order: this.work?.order ?? null };
      const rigs = handsOfRigs(plan.rigs, localEclipse(circumstances));
      const found = (hands: readonly HandsOfOperator[]) => {
        if (this.work?.plan === plan) this.work = { plan, order: new WorkOfHands(hands, rigs) };
      };
      this.ports
        .inTurn(`hands of plan ${plan.revision}`, () => planHands({ ...rigs, mends: false }))
        .then((done) => {
          if (done) found(done.result);
          else this.work = null;
        })
        .catch((error) => {
          this.ports.onBug(error);
          found([]);
        });
    }
    return this.work?.order ?? null;
  }

  private persons(rigId: string): boolean {
    const devices = ownValue(this.ports.presence.get().rigs, rigId) ?? [];
    return devices.some(({ deviceId }) => !isPlayed(deviceId));
  }

  private throwPlanned({ programme, startRunMs, rate }: PracticeStarted, now: UtcMs): void {
    const faults = programme?.faults ?? [];
    if (this.planned.size === faults.length) return;
    const { contacts, runNow } = this.view(now, []);
    for (const [index, fault] of faults.entries()) {
      if (this.planned.has(index)) continue;
      const anchor = anchorMs(contacts, fault.anchor);
      const dueMs = anchor === null ? Number.NEGATIVE_INFINITY : anchor + fault.offsetS * 1000;
      if (dueMs > runNow) continue;
      this.planned.add(index);
      const lateMs = (runNow - dueMs) / rate;
      if (dueMs < startRunMs || lateMs > Math.max(MISSED_MS, now - this.seenSince)) continue;
      const { anchor: _anchor, offsetS: _offsetS, ...plain } = fault;
      this.throwIn(plain, "programme");
    }
  }

  /** `rigIds`: which rigs are looked at, null for all. */
  private view(now: UtcMs, rigIds: readonly string[] | null): RunView {
    const { keeper, presence, clock } = this.ports;
    return viewRigs(rigIds, keeper.state, presence.get(), clockHealthOf(clock), now);
  }

  /** The lead's word on what is capped or turned away, less where somebody at the rig has said since that it is not. */
  private stillSafe(rigIds: readonly string[]): string[] {
    const { runs, realRunId } = this.ports.keeper.state;
    const ended = ownValue(runs, this.current?.runId ?? "");
    return rigIds.filter((rigId) => {
      const told = (run: typeof ended) => ownValue(run?.rigs ?? {}, rigId)?.practiceSafe;
      return newest(told(ended), told(runs[realRunId]))?.value !== false;
    });
  }

  private order(order: Order): void {
    void this.ports.keeper.order(ACTOR, ACTOR, newId(), order);
  }

  private endFaults(which: (fault: ThrownFault) => boolean): void {
    const over = this.standing.filter(({ fault }) => which(fault));
    this.standing = this.standing.filter(({ fault }) => !which(fault));
    for (const { fault, end } of over) {
      this.thrown = this.thrown.map((one) => (one === fault ? { ...one, on: false } : one));
      end();
    }
  }

  private leave(): void {
    for (const { end } of this.standing) end();
    this.standing = [];
    for (const operator of this.operators.values()) operator.leave();
    this.operators.clear();
    this.work = null;
  }
}

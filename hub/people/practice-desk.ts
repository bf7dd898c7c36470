/**
 * Runs a practice programme (shared/run/orders/practice-programme.ts): simulated operators come in over
 * real sockets for rigs where nobody is, faults come when they are planned or when a lead throws them,
 * the segment is repeated after its pause. Simulated operators leave with the run.
 *
 * What stands is in the log; what comes after a pause, and what faults have begun, is kept beside it, so a
 * hub that starts anew in the middle goes on. A repeat that should have begun while the hub was away for long is left out: nobody
 * stands at the rigs any more.
 */
import type { Steps } from "../../shared/eclipse/steps.ts";
import { ownValue } from "../../shared/fields/own-key.ts";
import { handsOfRigs } from "../../shared/plan/hands/hands-of-rigs.ts";
import { type HandsOfOperator, planHands } from "../../shared/plan/hands/hands-plan.ts";
import { localEclipse } from "../../shared/plan/local-eclipse.ts";
import type { PracticeStarted, SiteEvent } from "../../shared/run/events.ts";
import { isPlayed } from "../../shared/run/facts/played.ts";
import { newest } from "../../shared/run/facts/registers.ts";
import type { Order } from "../../shared/run/orders/commands.ts";
import type { Fault, ProgrammeOrder } from "../../shared/run/orders/practice-programme.ts";
import type { Refusal } from "../../shared/run/orders/refusal.ts";
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
import { FaultBook, type FaultPorts } from "./fault-book.ts";
import { Operator } from "./operator.ts";
import { standIn } from "./stand-in.ts";
import { WorkOfHands } from "./work-of-hands.ts";

const LOOK_MS = 250;
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
  /** The faults of the practice that is on, in the same way. */
  keptFaults: FaultPorts["kept"];
  /** A long computation, in steps between others (hub/compute-queue.ts); undefined where too many wait. */
  inTurn: <Result>(key: string, steps: () => Steps<Result>) => Promise<{ result: Result } | undefined>;
  /** Keeps these rigs' phones out until what it gives is called. */
  holdBack: (rigIds: readonly string[]) => () => void;
  onBug: (error: unknown) => void;
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

export class PracticeDesk {
  private readonly operators = new Map<string, Operator>();
  private readonly timer: NodeJS.Timeout;
  private readonly faults: FaultBook;
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
    this.faults = new FaultBook(
      {
        keeper: ports.keeper,
        clock: ports.clock,
        kept: ports.keptFaults,
        holdBack: ports.holdBack,
        operators: this.operators,
        isWithPerson: (rigId) => this.persons(rigId),
        view: (now, rigIds) => this.view(now, rigIds),
      },
      this.current?.runId ?? null,
    );
    this.timer = setInterval(() => this.tick(), LOOK_MS);
    ports.keeper.on("events", (events) => this.note(events));

    ports.keeper.on("cover", () => this.faults.endAll());
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
      faults: this.faults.list(),
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
    return this.faults.throwIn(fault, by);
  }

  /** Ends faults of a kind before their time. A refusal where none is on. */
  endFault(kind: FaultKind): Refusal | null {
    return this.faults.end(kind);
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
      this.faults.clear(practice !== null);
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
    this.faults.endOverdue(now);
    const { programme } = practice;
    if (!programme) return;
    for (const rigId of programme.played) this.play(rigId, programme.id);
    this.faults.throwPlanned(practice, now);
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
    if (!known) this.faults.strikeNew(rigId, operator);
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

  private leave(): void {
    this.faults.letIn();
    for (const operator of this.operators.values()) operator.leave();
    this.operators.clear();
    this.work = null;
  }
}

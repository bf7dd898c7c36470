/**
 * The faults of the practice that is on: those that are planned, when they are due, and those that a lead
 * throws in; each over when its time is, at a cover and with its practice. What each does,
 * practice-faults.ts says. What has begun is kept beside the log, so that a hub that starts anew in the
 * middle of one ends it, too.
 */
import { anchorMs } from "../../shared/run/effective-contacts.ts";
import type { EventType, Payloads, PracticeStarted } from "../../shared/run/events.ts";
import type { Fault } from "../../shared/run/orders/practice-programme.ts";
import { type Refusal, refusal } from "../../shared/run/orders/refusal.ts";
import { practiceAt } from "../../shared/run/run-time.ts";
import type { RunView } from "../../shared/run/views/run-view.ts";
import type { FaultKind } from "../../shared/run/vocabulary.ts";
import { type UtcMs, utcMs } from "../../shared/time/instants.ts";
import { newId } from "../new-id.ts";
import type { SiteKeeper } from "../site/site-keeper.ts";
import type { Operator } from "./operator.ts";
import { beginFault, type Done, endFault, strike } from "./practice-faults.ts";

/** A planned fault seen within this of its time lasts its whole time, else what is left of it. */
const IN_TIME_MS = 1000;

export interface FaultPorts {
  keeper: SiteKeeper;
  clock: { now: () => UtcMs };
  /** Kept over a restart; null where there is nothing. */
  kept: { get: () => unknown; set: (faults: KeptFaults | null) => void };
  /** Keeps these rigs' phones out until what it gives is called. */
  holdBack: (rigIds: readonly string[]) => () => void;
  /** Simulated operators by rig. */
  operators: ReadonlyMap<string, Operator>;
  /** Whether a person's phone is linked to a rig. */
  isWithPerson: (rigId: string) => boolean;
  /** `rigIds`: which rigs are looked at, null for all. */
  view: (now: UtcMs, rigIds: readonly string[] | null) => RunView;
}

/** A fault that was thrown in, as long as its practice is looked at. */
interface Thrown {
  kind: FaultKind;
  rigIds: readonly string[] | null;
  atUtcMs: UtcMs;
  /** When it is over; of what does not last, at once. */
  untilUtcMs: UtcMs;
  /** As long as it is on. */
  standing?: { fault: Fault; done: Done };
}

export interface KeptFaults {
  runId: string;
  /** Places in the programme of those that have come, or cannot come any more. */
  planned: readonly number[];
  thrown: readonly Thrown[];
}

export class FaultBook {
  private planned = new Set<number>();
  private thrown: readonly Thrown[] = [];
  /** What lets the links in again that are held back. */
  private release = () => {};

  /** @param runId of the practice that was on when the hub was started; null where none was. */
  constructor(
    private readonly ports: FaultPorts,
    runId: string | null,
  ) {
    const kept = ports.kept.get() as KeptFaults | undefined;
    if (!kept || kept.runId !== runId) return;
    this.planned = new Set(kept.planned);
    this.thrown = kept.thrown;
    if (!ports.keeper.state.cover) this.holdLinks();
  }

  list() {
    return this.thrown.map(({ standing, ...one }) => ({ ...one, on: standing !== undefined }));
  }

  /**
   * Throws a fault into the practice that is on. One of its kind that is on for the same rigs goes on in
   * it. A refusal where there is no practice, or nothing to do. `forS`: how long it lasts, where not as long as it says.
   */
  throwIn(fault: Fault, by: string, forS = fault.forS): Refusal | null {
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
    const joined = this.thrown.filter(({ standing }) => standing && goesOnIn(standing.fault, fault));
    const rigIds = bothOf([fault, ...joined]);
    const whole = { ...fault, rigIds };
    const before = joined.flatMap(({ standing }) => standing?.done ?? []);
    const done = beginFault(whole, this.struck(rigIds), before, this.effectPorts(practice, now));
    if (!done)
      return refusal("bad-input", `there is nobody and nothing for “${fault.kind}” now`, { field: "kind" });
    const lasts = fault.kind !== "phone reload" && fault.kind !== "contact early";
    const untilUtcMs = utcMs(
      Math.max(now + (lasts ? forS * 1000 : 0), ...joined.map((one) => one.untilUtcMs)),
    );
    const thrown = { kind: fault.kind, rigIds, atUtcMs: now, untilUtcMs };
    this.thrown = [
      ...this.thrown.map((one) => (joined.includes(one) ? overOf(one) : one)),
      lasts ? { ...thrown, standing: { fault: whole, done } } : thrown,
    ];
    this.changed(practice);
    const payload = { kind: fault.kind, rigIds, forS: (untilUtcMs - now) / 1000, by };
    void keeper.note("practiceFault", payload, practice.runId);
    return null;
  }

  /** Ends faults of a kind before their time. A refusal where none is on. */
  end(kind: FaultKind): Refusal | null {
    const on = this.thrown.some((one) => one.standing && one.kind === kind);
    if (!on) return refusal("no-practice", `no “${kind}” is on`, { field: "kind" });
    this.endThose((one) => one.kind === kind, true);
    return null;
  }

  /** One that finds nobody yet is tried until its time is over: people and hub may come back. */
  throwPlanned(practice: PracticeStarted, now: UtcMs): void {
    const faults = practice.programme?.faults ?? [];
    if (this.planned.size === faults.length) return;
    const { contacts, runNow } = this.ports.view(now, []);
    for (const [index, fault] of faults.entries()) {
      if (this.planned.has(index)) continue;
      const anchor = anchorMs(contacts, fault.anchor);
      const dueMs = anchor === null ? Number.NEGATIVE_INFINITY : anchor + fault.offsetS * 1000;
      if (dueMs > runNow) continue;
      const lateMs = (runNow - dueMs) / practice.rate;
      const leftS = lateMs < IN_TIME_MS ? fault.forS : fault.forS - lateMs / 1000;
      const { anchor: _anchor, offsetS: _offsetS, ...plain } = fault;
      const over = dueMs < practice.startRunMs || leftS <= 0;
      const refused = over ? null : this.throwIn(plain, "programme", leftS);
      if (refused && refused.code !== "safety-rule") continue;
      this.planned.add(index);
      this.changed(practice);
    }
  }

  /** A simulated operator who comes in the middle of it. */
  strikeNew(rigId: string, operator: Operator): void {
    for (const { kind, rigIds, standing } of this.thrown)
      if (standing && (rigIds?.includes(rigId) ?? true)) strike(kind, operator);
  }

  endOverdue(now: UtcMs): void {
    // A hub that starts anew may find a cover that came while it was away.
    const covered = this.ports.keeper.state.cover !== null;
    this.endThose(({ untilUtcMs }) => covered || now >= untilUtcMs, !covered);
  }

  /** At a cover, without a word: whoever wants every lens covered must reach everybody, logged or not (S7). */
  endAll(): void {
    this.endThose(() => true, false);
  }

  /** Its practice is over, or another is on: what it did was done in that run alone. `anew`: another is on. */
  clear(anew: boolean): void {
    this.letIn();
    this.planned = new Set();
    this.thrown = anew ? [] : this.thrown.map(overOf);
    this.ports.kept.set(null);
  }

  letIn(): void {
    this.release();
    this.release = () => {};
  }

  private endThose(which: (fault: Thrown) => boolean, told: boolean): void {
    const over = this.thrown.filter((one) => one.standing && which(one));
    const now = this.ports.clock.now();
    const practice = practiceAt(this.ports.keeper.state, now);
    if (over.length === 0 || !practice) return;
    this.thrown = this.thrown.map((one) => (over.includes(one) ? overOf(one) : one));
    this.changed(practice);
    const ports = this.effectPorts(practice, now);
    for (const { rigIds, standing } of over)
      if (standing) endFault(standing.fault, this.struck(rigIds), standing.done, told, ports);
  }

  private changed({ runId }: PracticeStarted): void {
    this.holdLinks();
    this.ports.kept.set({ runId, planned: [...this.planned], thrown: this.thrown });
  }

  /** Keeps out whom a fault that is on cuts off, and lets the others in. */
  private holdLinks(): void {
    const held = this.thrown.flatMap(({ standing }) => standing?.done.held ?? []);
    const { release } = this;
    this.release = held.length > 0 ? this.ports.holdBack(held) : () => {};
    release();
  }

  private struck(rigIds: readonly string[] | null): readonly string[] {
    return rigIds ?? this.ports.keeper.state.plan.rigs.map(({ id }) => id);
  }

  private effectPorts({ runId }: PracticeStarted, now: UtcMs) {
    const { keeper } = this.ports;
    return {
      operators: this.ports.operators,
      people: new Set(this.struck(null).filter((id) => this.ports.isWithPerson(id))),
      view: this.ports.view(now, null),
      newId,
      note: <T extends EventType>(type: T, payload: Payloads[T]) => void keeper.note(type, payload, runId),
    };
  }
}

function overOf({ standing: _, ...fault }: Thrown): Thrown {
  return fault;
}

/** Whether one that is on goes on in a new one: of its kind, and for some of its rigs. */
function goesOnIn(on: Fault, next: Fault): boolean {
  if (on.kind !== next.kind) return false;
  // There is one step at a time.
  if (on.kind === "clock stepped" || on.rigIds === null || next.rigIds === null) return true;
  return on.rigIds.some((id) => next.rigIds?.includes(id));
}

/** Whom several strike together; null: everybody. */
function bothOf(faults: readonly { rigIds: readonly string[] | null }[]): string[] | null {
  if (faults.some(({ rigIds }) => rigIds === null)) return null;
  return [...new Set(faults.flatMap(({ rigIds }) => rigIds ?? []))];
}

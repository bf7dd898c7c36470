/**
 * The single writer of a site. Takes orders and facts, decides them (shared/run), appends the
 * events, and only after the commit folds them into the state and tells everybody.
 *
 * `head` is the state with everything decided so far, `published` the state with everything
 * committed. Decisions are made on `head`, so that several commands may share one transaction.
 * When a write fails, head goes back to published. The command that could not be written is
 * refused; one of the same batch that was decided on top of it is decided anew.
 *
 * "Cover every lens" is broadcast before it is logged (S7). From that moment on it is latched here
 * and lies over the published state, logged or not; the hub goes on trying to log it, and only a
 * logged release takes it away.
 */
import { createHash } from "node:crypto";
import { EventEmitter } from "node:events";
import type { Circumstances } from "../../shared/eclipse/circumstances-types.ts";
import type { Site } from "../../shared/plan/model/plan.ts";
import { sameSky } from "../../shared/plan/model/same-place.ts";
import type { Answer } from "../../shared/protocol/messages.ts";
import { type ClockHealth, GOOD_CLOCK } from "../../shared/run/doubt.ts";
import type { EventType, Payloads, SiteEvent } from "../../shared/run/events.ts";
import { evolve, fold } from "../../shared/run/evolve.ts";
import { decideFact } from "../../shared/run/facts/decide-fact.ts";
import { FACT_BOUNDS } from "../../shared/run/facts/fact-bounds.ts";
import type { Fact, Order } from "../../shared/run/orders/commands.ts";
import { decide } from "../../shared/run/orders/decide.ts";
import { type Context, draftOf } from "../../shared/run/orders/decision.ts";
import { refusal } from "../../shared/run/orders/refusal.ts";
import { practiceAt, practiceEndMs } from "../../shared/run/run-time.ts";
import { EMPTY_STATE, EVOLVE_VERSION, type SiteState } from "../../shared/run/state.ts";
import { upcast } from "../../shared/run/upcasts.ts";
import type { UtcMs } from "../../shared/time/instants.ts";
import { type EventDraft, type EventLog, LogError, type LoggedEvent } from "../log/event-log.ts";
import { type DecidedAhead, decideAhead, stillHolds, type WholeSave } from "./decide-ahead.ts";

export interface KeeperPorts {
  log: EventLog;
  now: () => UtcMs;
  clockHealth: () => ClockHealth;
  newId: () => string;
  solve: (eclipse: string, site: Site, limb: boolean) => Circumstances | undefined;
  /** Does what `solve` will be asked for without holding up others; `solve` works without it, too. */
  prepareSky?: (eclipse: string, site: Site, limb: boolean) => Promise<void>;
  zoneAt: (latDeg: number, lonDeg: number) => string;
  /** A bug in deciding one command: told, and nothing else happens. */
  onBug: (error: unknown) => void;
  /** The log could not be written, through no fault of what was to be written. */
  onUnwritten?: (error: LogError) => void;
}

interface FactSender {
  sender: string;
  actor: string;
  deviceId: string;
  linkRevoked: boolean;
}

/** An event on its way into the log, and the head with and without it. */
interface Step {
  event: SiteEvent;
  before: SiteState;
  after: SiteState;
}

const SNAPSHOT_EVERY = 2000;
/** How often one command is decided anew because another of its batch could not be written. */
const MOST_DECISIONS = 20;
/** How often a save is decided ahead because others saved meanwhile, before it is decided in one go. */
const MOST_AHEAD = 3;
/** Wait between attempts to log a cover that was broadcast, ms. */
const LOG_COVER_MS = 1000;

/** What is wrong with a command and not with the disk. */
const ENTRY_FAULTS: ReadonlySet<LogError["code"]> = new Set(["bad-entry", "duplicate", "out-of-order"]);

/** A cover that was broadcast, as it was ordered. */
interface Latch {
  sender: string;
  actor: string;
  commandId: string;
  order: Order;
  sinceUtcMs: UtcMs;
  /** Releases up to this sequence number were ordered before it and do not end it. */
  afterSeq: number;
  /** The attempt to log it that is under way. */
  logging: boolean;
  triedAt: number;
}

export class SiteKeeper {
  private head: SiteState;
  private publishedState: SiteState;
  private readonly emitter = new EventEmitter();
  private readonly inFlight = new Map<string, { hash: string; answer: Promise<Answer> }>();
  private lastSnapshotSeq: number;
  /** Counts the times head was thrown back; what was decided before then must not do it again. */
  private headAge = 0;
  private latch: Latch | undefined;
  private covered: SiteState | undefined;
  /** Saves that are being decided ahead. */
  private savesAhead: Promise<undefined> | undefined;

  constructor(private readonly ports: KeeperPorts) {
    const found = ports.log.loadSnapshot(EVOLVE_VERSION);
    const saved = (found?.state as SiteState | undefined)?.seq === found?.seq ? found : undefined;
    let state = (saved?.state as SiteState | undefined) ?? EMPTY_STATE;
    state = fold(state, todays(ports.log.readForState(saved?.seq ?? 0)));
    this.head = state;
    this.publishedState = state;
    this.lastSnapshotSeq = saved?.seq ?? 0;
    if (state.seq - this.lastSnapshotSeq > SNAPSHOT_EVERY) this.snapshot();
  }

  /** The state with everything committed, and a cover that was broadcast though not committed yet. */
  get state(): SiteState {
    if (!this.latch || this.publishedState.cover) return this.publishedState;
    if (this.covered?.seq !== this.publishedState.seq) this.covered = this.withLatch(this.publishedState);
    return this.covered as SiteState;
  }

  private withLatch(state: SiteState): SiteState {
    const { latch } = this;
    if (!latch || state.cover) return state;
    return { ...state, cover: { sinceUtcMs: latch.sinceUtcMs, by: latch.actor } };
  }

  /** Committed events with the state after them. */
  on(event: "events", listener: (events: SiteEvent[], state: SiteState) => void): void;
  /** "Cover every lens": before it is logged (S7). */
  on(event: "cover", listener: (by: string) => void): void;
  on(event: string, listener: (...values: never[]) => void): void {
    this.emitter.on(event, listener as (...values: unknown[]) => void);
  }

  /**
   * An order of a lead. The same id with the same body answers the same and happens once. `body`
   * is what the id stands for, where that is shorter than the order: an id made up for it.
   */
  order(
    sender: string,
    actor: string,
    commandId: string,
    order: Order,
    body: unknown = order,
  ): Promise<Answer> {
    // A repeat of one that is known was broadcast when it was given, and may have been released since.
    if (order.type === "cover" && !this.known(sender, commandId))
      return this.cover(sender, actor, commandId, order);
    if (order.type === "savePlan" || order.type === "saveSite")
      return this.save(sender, actor, commandId, order, body);
    return this.decided(sender, actor, commandId, order, body);
  }

  /** Saves that concern every rig are decided ahead, one after the other, as each may build on the one before. */
  private save(
    sender: string,
    actor: string,
    commandId: string,
    order: WholeSave,
    body: unknown,
  ): Promise<Answer> {
    const decided = (ready?: DecidedAhead) => this.decided(sender, actor, commandId, order, body, ready);
    const prepare = () => this.prepared(actor, commandId, order);
    const ready = this.savesAhead ? this.savesAhead.then(prepare) : prepare();
    if (!(ready instanceof Promise)) return decided(ready);
    // The next need not wait until this one is written.
    const given = ready.then((done) => ({ answer: decided(done) }));
    const turn = given.then(
      () => undefined,
      () => undefined,
    );
    this.savesAhead = turn;
    void turn.then(() => {
      if (this.savesAhead === turn) this.savesAhead = undefined;
    });
    return given.then(({ answer }) => answer);
  }

  /** With the sky that a save asks for computed, where it is another than the plan's. */
  private prepared(
    actor: string,
    commandId: string,
    order: WholeSave,
  ): Promise<DecidedAhead | undefined> | DecidedAhead | undefined {
    const { eclipse, site, limb } = order.type === "savePlan" ? order.draft : order.part;
    const ahead = () => this.ahead(actor, commandId, order);
    if (!eclipse || !site || sameSky({ eclipse, site, limb }, this.head.plan)) return ahead();
    // Where that fails, it fails again when it is decided, and is told.
    return this.ports.prepareSky?.(eclipse, site, limb).then(ahead, () => undefined) ?? ahead();
  }

  /** Anew where somebody changed meanwhile what it hangs on; undefined for a bug, which comes up again in one go. */
  private ahead(
    actor: string,
    commandId: string,
    order: WholeSave,
    attempt = 1,
  ): Promise<DecidedAhead | undefined> | DecidedAhead | undefined {
    const ready = decideAhead(this.head, order, this.context(actor, commandId));
    if (!(ready instanceof Promise)) return ready;
    return ready.then(
      (done) =>
        stillHolds(done, this.head) || attempt === MOST_AHEAD
          ? done
          : this.ahead(actor, commandId, order, attempt + 1),
      () => undefined,
    );
  }

  private decided(
    sender: string,
    actor: string,
    commandId: string,
    order: Order,
    body: unknown,
    ready?: DecidedAhead,
  ): Promise<Answer> {
    return this.once(sender, commandId, body, () => {
      const state = this.withLatch(this.head);
      const decision =
        ready && stillHolds(ready, this.head)
          ? ready.decision
          : decide(state, order, this.context(actor, commandId));
      if ("refusal" in decision) return decision;
      return { events: decision.events, notes: decision.notes ?? [] };
    });
  }

  private cover(sender: string, actor: string, commandId: string, order: Order): Promise<Answer> {
    const sinceUtcMs = this.latch?.sinceUtcMs ?? this.ports.now();
    const afterSeq = this.head.seq;
    this.latch = { sender, actor, commandId, order, sinceUtcMs, afterSeq, logging: false, triedAt: 0 };
    this.covered = undefined;
    this.tell("cover", actor);
    return this.writeCover(this.latch);
  }

  /** Goes on trying to log a cover that was broadcast and could not be written; call it now and then. */
  logCover(): void {
    const { latch } = this;
    if (!latch || latch.logging || this.publishedState.cover) return;
    if (performance.now() - latch.triedAt >= LOG_COVER_MS) void this.writeCover(latch);
  }

  private async writeCover(latch: Latch): Promise<Answer> {
    latch.logging = true;
    latch.triedAt = performance.now();
    try {
      const answer = await this.decided(latch.sender, latch.actor, latch.commandId, latch.order, latch.order);
      if (answer.ok || answer.refusal.code !== "internal") return answer;
      const message = "every page was told to cover; the hub could not log it and goes on trying";
      return { ok: false, refusal: refusal("internal", message) };
    } finally {
      latch.logging = false;
    }
  }

  /** A fact of a device: never refused for the state. */
  fact(from: FactSender, commandId: string, fact: Fact): Promise<Answer> {
    return this.once(from.sender, commandId, fact, () => {
      const event = decideFact(this.head, fact, {
        actor: from.actor,
        commandId,
        deviceId: from.deviceId,
        now: this.ports.now(),
        linkRevoked: from.linkRevoked,
        bounds: FACT_BOUNDS,
      });
      return { events: [event], notes: event.payload.flags };
    });
  }

  /** Something the hub itself notes. */
  note<T extends EventType>(type: T, payload: Payloads[T], runId?: string): Promise<Answer> {
    const commandId = this.ports.newId();
    const now = this.ports.now();
    const practice = practiceAt(this.head, now);
    const draft = draftOf(
      { now, actor: "hub", commandId },
      runId ?? practice?.runId ?? this.head.realRunId,
      type,
      payload,
    );
    return this.once("hub", commandId, payload, () => ({ events: [draft], notes: [] }));
  }

  /** S8: a practice whose latest end has passed is ended in the record, too. */
  endOverduePractice(): void {
    const { practice } = this.head;
    if (practice && this.ports.now() >= practiceEndMs(this.head, practice)) {
      // The segment's end, or the one that S8 sets.
      const reason = practice.programme?.until ? "segment" : "limit";
      void this.note("practiceEnded", { runId: practice.runId, reason }, practice.runId);
    }
  }

  /** Only to start quickly: where it cannot be written, the next start replays. */
  snapshot(): void {
    const { seq } = this.publishedState;
    this.lastSnapshotSeq = seq;
    try {
      this.ports.log.saveSnapshot(EVOLVE_VERSION, seq, this.publishedState);
    } catch (error) {
      if (error instanceof LogError) this.ports.onUnwritten?.(error);
      else this.ports.onBug(error);
    }
  }

  private context(actor: string, commandId: string): Context {
    return {
      now: this.ports.now(),
      actor,
      commandId,
      newId: this.ports.newId,
      solve: this.ports.solve,
      zoneAt: this.ports.zoneAt,
      clock: this.ports.clockHealth() ?? GOOD_CLOCK,
    };
  }

  private once(sender: string, commandId: string, body: unknown, run: () => Outcome): Promise<Answer> {
    const key = JSON.stringify([sender, commandId]);
    const hash = bodyHash(body);
    const known = this.known(sender, commandId);
    if (known) {
      if (known.hash === hash) return known.answer;
      return Promise.resolve({
        ok: false,
        refusal: refusal("reused-id", `id ${commandId} was used for something else before`, { field: "id" }),
      });
    }
    const answer = this.perform(sender, commandId, hash, run);
    this.inFlight.set(key, { hash, answer });
    void answer.finally(() => this.inFlight.delete(key));
    return answer;
  }

  /** A command that is under way or was done. */
  private known(sender: string, commandId: string): { hash: string; answer: Promise<Answer> } | undefined {
    const underWay = this.inFlight.get(JSON.stringify([sender, commandId]));
    if (underWay) return underWay;
    const record = this.ports.log.findCommand(sender, commandId);
    return record && { hash: record.bodyHash, answer: Promise.resolve(record.answer as Answer) };
  }

  private async perform(
    sender: string,
    commandId: string,
    hash: string,
    run: () => Outcome,
    attempt = 1,
  ): Promise<Answer> {
    const age = this.headAge;
    let outcome: Outcome;
    try {
      outcome = run();
    } catch (error) {
      this.ports.onBug(error);
      return { ok: false, refusal: refusal("internal", "the hub could not decide this; it was not done") };
    }
    if ("refusal" in outcome) return { ok: false, refusal: outcome.refusal };
    const loggedUtcMs = this.ports.now();
    const events = outcome.events.map(
      (draft, index) => ({ ...draft, seq: this.head.seq + 1 + index, loggedUtcMs }) as SiteEvent,
    );
    const answer: Answer = {
      ok: true,
      seq: events.at(-1)?.seq ?? this.head.seq,
      ...(outcome.notes.length > 0 ? { notes: outcome.notes } : {}),
    };
    const steps = events.map((event): Step => {
      const before = this.head;
      this.head = evolve(before, event);
      return { event, before, after: this.head };
    });
    try {
      await this.ports.log.append({ sender, commandId, bodyHash: hash, answer, events });
    } catch (error) {
      if (age === this.headAge) {
        this.head = this.publishedState;
        this.headAge++;
        if (this.latch) this.latch.afterSeq = Math.min(this.latch.afterSeq, this.head.seq);
      }
      const another = error instanceof LogError && error.code === "out-of-order";
      if (another && attempt < MOST_DECISIONS) return this.perform(sender, commandId, hash, run, attempt + 1);
      if (!(error instanceof LogError) || ENTRY_FAULTS.has(error.code)) this.ports.onBug(error);
      else this.ports.onUnwritten?.(error);
      const why = error instanceof LogError && error.code === "full" ? ": its disk is full" : "";
      return { ok: false, refusal: refusal("internal", `the hub could not write its log${why}; try again`) };
    }
    this.publish(steps);
    return answer;
  }

  /** What was committed stays so, whatever goes wrong with those who are told. */
  private tell(event: "events" | "cover", ...values: unknown[]): void {
    try {
      this.emitter.emit(event, ...values);
    } catch (error) {
      this.ports.onBug(error);
    }
  }

  private publish(steps: readonly Step[]): void {
    if (steps.length === 0) return;
    const { latch } = this;
    const events = steps.map(({ event }) => event);
    for (const { event, before, after } of steps) {
      // Folded once already, unless something of the batch before it was thrown back.
      this.publishedState = this.publishedState === before ? after : evolve(this.publishedState, event);
      if (event.type === "coverReleased" && latch && event.seq > latch.afterSeq) this.latch = undefined;
    }
    this.tell("events", events, this.state);
    // Whoever has just read a release that came before the cover must not stay uncovered.
    if (this.latch && events.some((event) => event.type === "coverReleased"))
      this.tell("cover", this.latch.actor);
    if (this.publishedState.seq - this.lastSnapshotSeq >= SNAPSHOT_EVERY) this.snapshot();
  }
}

function* todays(events: Iterable<LoggedEvent>): Generator<SiteEvent> {
  for (const event of events) yield upcast(event);
}

type Outcome =
  | { events: EventDraft[]; notes: unknown[] }
  | { refusal: Extract<Answer, { ok: false }>["refusal"] };

/** SHA-256 of a body with its keys in order, so that the same content has the same hash. */
function bodyHash(body: unknown): string {
  return createHash("sha256").update(canonical(body)).digest("hex");
}

function canonical(value: unknown): string {
  return JSON.stringify(value, (_key, item: unknown) =>
    item && typeof item === "object" && !Array.isArray(item)
      ? Object.fromEntries(Object.entries(item).sort(([a], [b]) => (a < b ? -1 : 1)))
      : item,
  );
}

/**
 * The hub's eclipse clock: UTC for the whole site, with a bound.
 *
 * Inside, time is the monotonic clock plus an offset (steering.ts). Sources report where UTC is
 * (ledger.ts), choose.ts says which to follow, steering slews there. When the operating system's
 * clock is stepped, the eclipse clock does not move; the lead is asked (adoptStep, refuseStep).
 * When the machine slept, the clock is moved on by the uptime and the bound widened.
 *
 * Bound = the least, over the sources that agree, of a source's bound (grown with age) plus the
 * clock's distance from it. When the source followed cannot vouch for itself (system, hand)
 * witnesses of one mind may narrow it. What contradicts the clock stands beside the bound, in one
 * figure (apartMs): a step nobody has judged, sources without a majority, witnesses (witness-box.ts).
 */
import { EventEmitter } from "node:events";
import * as v from "valibot";
import type { HubCourse } from "../../shared/sync/samples.ts";
import type { WitnessVerdict } from "../../shared/sync/witnesses.ts";
import { type UtcMs, utcMs } from "../../shared/time/instants.ts";
import { type Choice, type Claim, chooseSource, sourceKind } from "./choose.ts";
import {
  type ClockLogEntry,
  type HubClockStatus,
  type SavedHubClock,
  savedHubClockSchema,
  seenKey,
} from "./hub-clock-status.ts";
import { Ledger, UNKNOWN_SYSTEM_BOUND_MS } from "./ledger.ts";
import type { Mark } from "./marks.ts";
import {
  CRYSTAL_PPM,
  type HubClockPorts,
  readTogether,
  type SourceReport,
  type TimeSource,
} from "./ports.ts";
import { sourceTable } from "./source-table.ts";
import { Steering } from "./steering.ts";
import { MachineWatch, type Readings } from "./watch.ts";
import { type Now, WitnessBox } from "./witness-box.ts";

export interface HubClockOptions {
  ports: HubClockPorts;
  /** Distinguishes this start of the hub from others, e.g. a random id, up to 40 characters. */
  epoch: string;
  sources?: readonly TimeSource[];
  /** Corrections are never stepped while true. Default: always true. */
  inRealRun?: () => boolean;
  /** What save() gave before the restart; passed over when it is not whole. */
  saved?: unknown;
}

/** Outside a real run, corrections above this are stepped. */
const STEP_ABOVE_MS = 100;
/** Corrections below this share of the bound are left alone: no chasing of noise … */
const DEADBAND = 0.1;
/** … and none above this: ignorance of a clock that is not known at all is no noise, ms. */
const DEADBAND_MOST_MS = 50;
/**
 * A GPS without pulses is anywhere within its bound: no reason to move inside it where another source
 * knows better. Where none does the clock moves on until its bound (0.7 s of a whole second's
 * lateness) leaves a phone 0.3 s of its own before S5's second.
 */
const LOOSE = { boundMs: 100, deadband: 0.9, aloneDeadband: 0.4 };
const TICK_MS = 500;
/** A step of the system's clock undone to within this is no step. */
const UNDONE_MS = 20;

export class HubClock {
  private readonly ports: HubClockPorts;
  private readonly events = new EventEmitter();
  private readonly watch: MachineWatch;
  private readonly steering: Steering;
  private readonly ledger: Ledger;
  private readonly witnesses: WitnessBox;
  private choice: Choice = { chosen: null, disagreeing: [], disputed: false };
  private toldVerdict: WitnessVerdict["verdict"];
  private bound = { ms: UNKNOWN_SYSTEM_BOUND_MS, atMono: 0 };
  private narrowed = false;
  private pendingStep: HubClockStatus["step"] = null;
  private sleepSeen: HubClockStatus["slept"] = null;
  private timer: NodeJS.Timeout | null = null;
  private toldKey = "";

  constructor(private readonly options: HubClockOptions) {
    this.ports = options.ports;
    this.watch = new MachineWatch(this.ports.uptimeStepMs);
    const now = this.readings();
    const saved = v.safeParse(savedHubClockSchema, options.saved);
    this.ledger = new Ledger(now, saved.success ? saved.output : undefined, this.ports.uptimeStepMs);
    this.witnesses = new WitnessBox(saved.success ? saved.output.setAside : []);
    const mono = this.ports.clock.mono();
    const first = chooseSource(this.ledger.claims(mono), null).chosen;
    this.steering = new Steering(options.epoch, mono, utcMs(mono + (first?.offsetMs ?? now.wall - now.mono)));
    this.watch.look(now);
    this.toldVerdict = this.witnesses.look(this.instant()).verdict.verdict;
    if (Math.abs(this.ledger.unjudgedMs) >= UNDONE_MS)
      this.pendingStep = { byMs: this.ledger.unjudgedMs, seenAtUtcMs: this.now() };
    const { slept = null } = saved.success ? saved.output : {};
    if (slept && this.ledger.goesOn) this.sleepSeen = { ...slept, seenAtUtcMs: utcMs(slept.seenAtUtcMs) };
    this.decide();
  }

  /** The eclipse clock, UTC in ms with fraction. */
  now(): UtcMs {
    return this.steering.utc(this.ports.clock.mono());
  }

  /** |eclipse clock − UTC| ≤ boundMs. */
  boundMs(): number {
    const age = Math.max(0, this.ports.clock.mono() - this.bound.atMono);
    return this.bound.ms + age * CRYSTAL_PPM * 1e-6;
  }

  /** For the answer to a probe: time, bound and the course of corrections, read together. */
  stamp(): { utcMs: UtcMs; boundMs: number; course: HubCourse } {
    const mono = this.ports.clock.mono();
    return { utcMs: this.steering.utc(mono), boundMs: this.boundMs(), course: this.steering.course(mono) };
  }

  on(event: "log", listener: (entry: ClockLogEntry) => void): void;
  on(event: "change" | "step" | "sleep", listener: (status: HubClockStatus) => void): void;
  // biome-ignore lint/suspicious/noExplicitAny: the overloads above are the types
  on(event: string, listener: (value: any) => void): void {
    this.events.on(event, listener);
  }

  start(): void {
    if (this.timer) return;
    for (const s of this.options.sources ?? []) s.start((r) => this.report(r));
    this.timer = setInterval(() => this.tick(), TICK_MS);
    this.timer.unref();
  }

  stop(): void {
    if (this.timer) clearInterval(this.timer);
    this.timer = null;
    for (const s of this.options.sources ?? []) s.stop();
  }

  /** Looks at the machine's clocks and moves on; start() calls it twice a second. */
  tick(): void {
    const now = this.readings();
    const seen = this.watch.look(now);
    if (seen.sleptMs > 0) this.sleep(seen.sleptMs, Math.abs(seen.resetMs));
    if (seen.steppedMs !== 0) this.stepSeen(seen.steppedMs);
    this.ledger.seeWall({ ...now, wall: now.wall - (this.pendingStep?.byMs ?? 0) });
    this.decide();
    const mono = this.ports.clock.mono();
    const chosen = this.choice.chosen;
    if (chosen) {
      const lacks = this.lacksMs(chosen);
      const loose = chosen.kind === "gps" && chosen.boundMs > LOOSE.boundMs;
      const alone = this.bound.ms > chosen.boundMs;
      const dead = loose
        ? (alone ? LOOSE.aloneDeadband : LOOSE.deadband) * chosen.boundMs
        : Math.min(DEADBAND_MOST_MS, DEADBAND * chosen.boundMs);
      const real = this.options.inRealRun?.() ?? true;
      if (!real && Math.abs(lacks) > Math.max(STEP_ABOVE_MS, dead)) this.steering.step(mono, lacks);
      else this.steering.advance(mono, Math.sign(lacks) * Math.max(0, Math.abs(lacks) - dead));
    }
    this.refreshBound();
    this.tell();
  }

  /** Takes a report from a source (start() connects them). */
  report(r: SourceReport): void {
    const before = this.ledger.reports.get(r.id);
    this.ledger.take(r);
    if (before?.state !== r.state) this.log("sourceState", { id: r.id, state: r.state, detail: r.detail });
    if (r.estimate && r.kind !== "system") this.sleepSeen = null;
  }

  status(): HubClockStatus {
    const mono = this.ports.clock.mono();
    const claims = this.ledger.claims(mono);
    const { chosen, disagreeing, disputed } = this.choice;
    const against = claims.filter((c) => disagreeing.includes(c.id));
    const off = (c: Claim) =>
      Math.max(Math.abs(this.lacksMs(c)), Math.abs(c.offsetMs - (chosen?.offsetMs ?? c.offsetMs)));
    const dispute =
      disputed && against.length > 0 ? { byMs: Math.max(...against.map(off)), ids: disagreeing } : null;
    const at = this.instant();
    const bench = this.witnesses.look(at);
    const { verdict, byMs, count } = bench.verdict;
    return {
      source: sourceKind(chosen),
      boundMs: this.boundMs(),
      apartMs: Math.max(Math.abs(this.pendingStep?.byMs ?? 0), dispute?.byMs ?? 0, bench.apartMs),
      correctionMs: chosen ? this.lacksMs(chosen) : 0,
      slewPpm: this.steering.course(mono).slewPpm,
      sources: sourceTable(this.ledger, claims, this.choice, this.pendingStep !== null, mono, (c) =>
        this.lacksMs(c),
      ),
      step: this.pendingStep,
      slept: this.sleepSeen,
      dispute,
      witnesses: {
        verdict,
        byMs,
        count,
        narrow: this.narrowed,
        devices: this.witnesses.table(at, bench),
      },
      site: [...this.ledger.reports.values()].find((r) => r.site)?.site ?? null,
    };
  }

  get marks(): readonly Mark[] {
    return this.ledger.marks;
  }

  /** The lead pressed now, and it is `utc` by watch or pips. */
  setAtMark(utc: UtcMs): void {
    const mono = this.ports.clock.mono();
    this.ledger.marks = [...this.ledger.marks, { offsetMs: utc - mono, atMono: mono }];
    this.log("mark", { byMs: utc - this.steering.utc(mono), count: this.ledger.marks.length });
    this.changed();
  }

  clearMarks(): void {
    this.log("marksCleared", { count: this.ledger.marks.length });
    this.ledger.forgetMarks();
    this.changed();
  }

  /** The system's step was right: follow its clock again (slewed; setNow makes it at once). */
  adoptStep(): void {
    if (!this.pendingStep) return;
    this.log("stepAdopted", { byMs: this.pendingStep.byMs });
    this.pendingStep = null;
    this.ledger.wallAdopted(this.readings());
    this.changed();
  }

  /** The system's step was wrong: take it off the system's clock from now on. */
  refuseStep(): void {
    if (!this.pendingStep) return;
    this.log("stepRefused", { byMs: this.pendingStep.byMs });
    this.ledger.wallCorrectionMs -= this.pendingStep.byMs;
    this.pendingStep = null;
    this.changed();
  }

  /** The lead says: correct at once what is being slewed. Returns the step made, ms. */
  setNow(): number {
    const byMs = this.choice.chosen ? this.lacksMs(this.choice.chosen) : 0;
    this.steering.step(this.ports.clock.mono(), byMs);
    this.log("setNow", { byMs });
    this.changed();
    return byMs;
  }

  acknowledgeSleep(): void {
    this.sleepSeen = null;
    this.tell();
  }

  /**
   * A device's wall clock − the eclipse clock, ms, and how well the device knows the hub, ms.
   * `label`: what kind of device, for people.
   */
  addWitness(deviceId: string, offsetMs: number, boundMs: number, label = ""): void {
    const ended = this.witnesses.hear({ deviceId, offsetMs, boundMs }, label, this.instant());
    if (!ended) return;
    this.log("witnessCounted", { deviceId, label, byMs: offsetMs, because: "its clock was set" });
    this.changed();
  }

  /** This machine's own clock − the eclipse clock, ms: what a page on it would say as a witness. */
  ownClockOffsetMs(): number {
    return this.ports.clock.wall() - this.now();
  }

  /** The lead says: this device's clock is wrong. False when nobody has heard of it. */
  setWitnessAside(deviceId: string): boolean {
    const aside = this.witnesses.setAside(deviceId, this.instant());
    if (!aside) return false;
    this.ledger.distrustWitnesses();
    this.log("witnessSetAside", { deviceId, label: aside.label, byMs: aside.offsetMs });
    this.changed();
    return true;
  }

  /** The lead takes that back. False when nobody has heard of the device. */
  countWitnessAgain(deviceId: string): boolean {
    if (!this.witnesses.countAgain(deviceId)) return false;
    this.log("witnessCounted", { deviceId, because: "lead" });
    this.changed();
    return true;
  }

  /** What to keep for the next start: time goes on, refused steps and marks are not lost. */
  save(): SavedHubClock {
    const now = this.readings();
    const mono = this.ports.clock.mono();
    return {
      v: 2,
      atWallMs: now.wall,
      uptimeMs: now.uptime,
      eclipseMinusWallMs: this.steering.utc(mono) - mono - (now.wall - now.mono),
      boundMs: this.boundMs(),
      kind: sourceKind(this.choice.chosen),
      wallCorrectionMs: this.ledger.wallCorrectionMs,
      pendingStepMs: this.pendingStep?.byMs ?? 0,
      slept: this.sleepSeen,
      sleepDoubtMs: this.ledger.sleepDoubtMs,
      marks: this.ledger.marks.map((m) => ({
        offsetMs: m.offsetMs + now.mono - now.wall,
        ageMs: now.mono - m.atMono,
        doubtMs: m.doubtMs ?? 0,
      })),
      setAside: this.witnesses.save(),
    };
  }

  /** The three clocks at one instant. */
  private readings(): Readings {
    const { clock } = this.ports;
    const { mono, value } = readTogether(clock, () => ({
      wall: clock.wall(),
      uptime: this.ports.uptimeMs(),
    }));
    return { mono, ...value };
  }

  private instant(): Now {
    const mono = this.ports.clock.mono();
    return { mono, utcMinusMono: this.steering.utc(mono) - mono };
  }

  /** What the eclipse clock lacks against a claim now, ms. */
  private lacksMs(claim: Pick<Claim, "offsetMs">): number {
    const mono = this.ports.clock.mono();
    return claim.offsetMs - (this.steering.utc(mono) - mono);
  }

  private changed(): void {
    this.decide();
    this.tell();
  }

  private decide(): void {
    const mono = this.ports.clock.mono();
    const now = this.instant();
    const { verdict: heard } = this.witnesses.look(now);
    if (heard.verdict !== this.toldVerdict)
      this.log("witnesses", { verdict: heard.verdict, byMs: heard.byMs, count: heard.count });
    this.toldVerdict = heard.verdict;
    const claims = this.ledger.claims(mono);
    if (heard.verdict !== "too few") {
      const offsetMs = now.utcMinusMono + heard.byMs;
      claims.push({ id: "witnesses", kind: "witnesses", offsetMs, boundMs: heard.boundMs });
      this.ledger.witnessed = { offsetMs, boundMs: heard.boundMs, atMono: mono };
    }
    const before = this.choice.chosen?.id ?? null;
    this.choice = chooseSource(claims, before);
    const { chosen } = this.choice;
    if (chosen && chosen.id !== before)
      this.log("sourceChosen", { id: chosen.id, kind: chosen.kind, boundMs: chosen.boundMs });
    this.refreshBound();
  }

  private refreshBound(): void {
    const { chosen, disagreeing } = this.choice;
    if (!chosen) return;
    const mono = this.ports.clock.mono();
    // every source that is not outvoted bounds the clock; the least of their bounds holds
    const agreeing = this.ledger.claims(mono).filter((c) => !disagreeing.includes(c.id));
    const within = (c: Pick<Claim, "offsetMs" | "boundMs">) => c.boundMs + Math.abs(this.lacksMs(c));
    const bySources = Math.min(...agreeing.map(within));
    const witnessed = this.ledger.vouches(chosen.id) ? null : this.ledger.byWitnesses(mono);
    const ms = Math.min(bySources, witnessed ? within(witnessed) : Number.POSITIVE_INFINITY);
    this.narrowed = ms < bySources;
    this.bound = { ms, atMono: mono };
  }

  private sleep(forMs: number, resetMs: number): void {
    const mono = this.ports.clock.mono();
    const doubt = this.ports.uptimeStepMs + 20 + forMs * CRYSTAL_PPM * 1e-6;
    this.steering.step(mono, forMs);
    this.ledger.slept(forMs, doubt, resetMs);
    for (const s of this.options.sources ?? []) s.machineSlept?.();
    this.witnesses.machineSlept();
    this.decide();
    this.sleepSeen = { forMs, seenAtUtcMs: this.steering.utc(mono), boundMs: this.boundMs() };
    this.log("slept", { forMs });
    this.events.emit("sleep", this.status());
  }

  private stepSeen(byMs: number): void {
    const seenAtUtcMs = this.now();
    // A step after a refused one reopens the question of all: how far the two clocks are apart now.
    const total = (this.pendingStep?.byMs ?? 0) + byMs - this.ledger.wallCorrectionMs;
    this.ledger.wallCorrectionMs = 0;
    this.log("stepSeen", { byMs });
    this.pendingStep = Math.abs(total) < UNDONE_MS ? null : { byMs: total, seenAtUtcMs };
    this.events.emit("step", this.status());
  }

  private log(type: ClockLogEntry["type"], data: ClockLogEntry["data"]): void {
    this.events.emit("log", { type, atUtcMs: this.now(), data });
  }

  private tell(): void {
    const status = this.status();
    const key = seenKey(status);
    if (key === this.toldKey) return;
    this.toldKey = key;
    this.events.emit("change", status);
  }
}

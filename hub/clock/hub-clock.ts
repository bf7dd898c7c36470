/**
 * The hub's eclipse clock: UTC for the whole site, with a bound.
 *
 * Inside, time is the monotonic clock plus an offset (steering.ts). Sources report where UTC is
 * (ports.ts), choose.ts says which to follow, steering slews there. When the operating system's
 * clock is stepped, the eclipse clock does not move; the lead is asked (adoptStep, refuseStep).
 * When the machine slept, the clock is moved on by the uptime and the bound widened.
 *
 * Bound = bound of the source followed, grown with age, plus what is still to be corrected. For a
 * system clock that says nothing of itself see sources/system.ts; there, agreeing witnesses may
 * narrow it.
 */
import { EventEmitter } from "node:events";
import type { HubCourse } from "../../shared/sync/samples.ts";
import { judgeWitnesses, type Witness, type WitnessVerdict } from "../../shared/sync/witnesses.ts";
import { type UtcMs, utcMs } from "../../shared/time/instants.ts";
import { type Claim, chooseSource } from "./choose.ts";
import { estimateFromMarks, type Mark } from "./marks.ts";
import {
  CRYSTAL_PPM,
  type HubClockPorts,
  type OffsetEstimate,
  type SiteFix,
  type SourceKind,
  type SourceReport,
  type SourceState,
  type TimeSource,
} from "./ports.ts";
import { Steering } from "./steering.ts";
import { MachineWatch } from "./watch.ts";

export interface SourceStatus {
  id: string;
  kind: SourceKind;
  /** The source's UTC − the eclipse clock, ms; null when it has none to offer. */
  offsetMs: number | null;
  boundMs: number | null;
  ageS: number | null;
  state: SourceState;
  detail: string;
}

export interface HubClockStatus {
  source: SourceKind;
  boundMs: number;
  /** What the clock lacks and is working off, ms (positive: it is slow). */
  correctionMs: number;
  /** Rate of correction now, ppm. */
  slewPpm: number;
  sources: SourceStatus[];
  /** The system's clock was stepped and nobody has said yet what to make of it. */
  step: { byMs: number; seenAtUtcMs: UtcMs } | null;
  /** The machine slept; cleared by a fresh GPS or network fix or by acknowledgeSleep. */
  slept: { forMs: number; seenAtUtcMs: UtcMs; boundMs: number } | null;
  /** The sources contradict each other without a majority, and by how much. */
  dispute: { byMs: number; ids: string[] } | null;
  witnesses: { verdict: WitnessVerdict["verdict"]; byMs: number; count: number };
  site: SiteFix | null;
}

/** One line for the log: every choice and change. */
export interface ClockLogEntry {
  type:
    | "sourceChosen"
    | "sourceState"
    | "stepSeen"
    | "stepAdopted"
    | "stepRefused"
    | "slept"
    | "setNow"
    | "mark"
    | "witnesses";
  atUtcMs: UtcMs;
  data: Record<string, string | number | null>;
}

/** What must survive a restart of the hub. */
export interface SavedHubClock {
  v: 1;
  atWallMs: number;
  /** Sum of refused steps of the system's clock, ms: to be added to the wall clock. */
  wallCorrectionMs: number;
  /** Marks as UTC − wall clock, ms. */
  marks: number[];
}

export interface HubClockOptions {
  ports: HubClockPorts;
  /** Distinguishes this start of the hub from others, e.g. a random id. */
  epoch: string;
  sources?: readonly TimeSource[];
  /** Corrections are never stepped while true. Default: always true. */
  inRealRun?: () => boolean;
  saved?: SavedHubClock | undefined;
}

/** Default bound of a system clock that says nothing of itself, ms, and its growth since start. */
export const UNKNOWN_SYSTEM_BOUND_MS = 500;
const UNKNOWN_SYSTEM_PPM = 15;
/** Outside a real run, corrections above this are stepped. */
const STEP_ABOVE_MS = 100;
/** Corrections below this share of the bound are left alone: no chasing of noise. */
const DEADBAND = 0.1;
const WITNESS_MS = 120_000;
const TICK_MS = 500;

type Events = "change" | "step" | "sleep" | "log";

export class HubClock {
  private readonly ports: HubClockPorts;
  private readonly events = new EventEmitter();
  private readonly watch: MachineWatch;
  private readonly steering: Steering;
  private readonly reports = new Map<string, SourceReport>();
  private readonly witnesses = new Map<string, Witness & { atMono: number }>();
  private markList: Mark[] = [];
  private wallOffset: number;
  private wallCorrection = 0;
  private pendingStep: HubClockStatus["step"] = null;
  private slept: HubClockStatus["slept"] = null;
  private sleepDoubtMs = 0;
  private chosen: Claim | null = null;
  private disagreeing: string[] = [];
  private disputed = false;
  private systemKnown: { boundMs: number; atMono: number } | null = null;
  private startMono: number;
  private timer: NodeJS.Timeout | null = null;
  private lastVerdict: WitnessVerdict["verdict"] = "too few";
  private lastKey = "";

  constructor(private readonly options: HubClockOptions) {
    this.ports = options.ports;
    this.watch = new MachineWatch(this.ports.uptimeStepMs);
    const { mono, wall } = this.readings();
    this.startMono = mono;
    if (options.saved) this.wallCorrection = options.saved.wallCorrectionMs;
    for (const m of options.saved?.marks ?? [])
      this.markList.push({ offsetMs: m + wall - mono, atMono: mono as Mark["atMono"] });
    this.wallOffset = wall + this.wallCorrection - mono;
    const fromMarks = estimateFromMarks(this.markList);
    const start = fromMarks ? fromMarks.offsetMs : this.wallOffset;
    this.steering = new Steering(options.epoch, this.ports.clock.mono(), utcMs(start + mono));
    this.reports.set("system", { id: "system", kind: "system", state: "unknown", detail: "" });
    this.decide();
  }

  /** The eclipse clock, UTC in ms with fraction. */
  now(): UtcMs {
    return this.steering.utc(this.ports.clock.mono());
  }

  /** For the answer to a probe: time, bound and the course of corrections, read together. */
  stamp(): { utcMs: UtcMs; boundMs: number; course: HubCourse } {
    const mono = this.ports.clock.mono();
    return { utcMs: this.steering.utc(mono), boundMs: this.boundMs(), course: this.steering.course(mono) };
  }

  /** |eclipse clock − UTC| ≤ boundMs. */
  boundMs(): number {
    const chosen = this.currentClaims().find((c) => c.id === this.chosen?.id) ?? this.chosen;
    if (!chosen) return UNKNOWN_SYSTEM_BOUND_MS;
    return this.narrowed(chosen).boundMs + Math.abs(this.correctionMs(chosen));
  }

  on(event: "log", listener: (entry: ClockLogEntry) => void): void;
  on(event: Exclude<Events, "log">, listener: (status: HubClockStatus) => void): void;
  // biome-ignore lint/suspicious/noExplicitAny: the overloads above are the types
  on(event: Events, listener: (value: any) => void): void {
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
    const r = this.readings();
    const seen = this.watch.look(r);
    if (seen.sleptMs > 0) this.sleep(seen.sleptMs);
    if (seen.steppedMs !== 0) this.stepSeen(seen.steppedMs);
    const wall = r.wall + this.wallCorrection - (this.pendingStep?.byMs ?? 0) - r.mono;
    // wall clocks are read to 1 ms and cut off: average
    this.wallOffset +=
      Math.abs(wall - this.wallOffset) > 5 ? wall - this.wallOffset : 0.05 * (wall - this.wallOffset);
    this.decide();
    const mono = this.ports.clock.mono();
    const c = this.chosen ? this.correctionMs(this.chosen) : 0;
    const dead = DEADBAND * (this.chosen?.boundMs ?? 0);
    if (!this.realRun() && Math.abs(c) > Math.max(STEP_ABOVE_MS, dead)) this.steering.step(mono, c);
    this.steering.advance(mono, Math.sign(c) * Math.max(0, Math.abs(c) - dead));
    this.announce();
  }

  /** Takes a report from a source (start() connects them). */
  report(r: SourceReport): void {
    const before = this.reports.get(r.id);
    this.reports.set(r.id, { ...r, site: r.site ?? before?.site });
    if (before?.state !== r.state) this.log("sourceState", { id: r.id, state: r.state, detail: r.detail });
    if (r.kind === "system" && r.estimate)
      this.systemKnown = { boundMs: r.estimate.boundMs, atMono: r.estimate.atMono };
    else if (r.kind === "system") this.systemKnown = null;
    if (r.estimate && (r.kind === "gps" || r.kind === "ntp") && this.slept) {
      this.slept = null;
      this.sleepDoubtMs = 0;
    }
  }

  status(): HubClockStatus {
    const mono = this.ports.clock.mono();
    const utc = this.steering.utc(mono);
    const claims = this.currentClaims();
    const v = this.verdict();
    const chosen = claims.find((c) => c.id === this.chosen?.id) ?? null;
    const sources: SourceStatus[] = [...this.reports.values()].map((r) =>
      this.sourceStatus(r, claims, utc - mono),
    );
    if (this.markList.length > 0) {
      const claim = claims.find((c) => c.id === "hand");
      const detail = `${this.markList.length} marks`;
      sources.push(
        this.sourceStatus(
          { id: "hand", kind: "hand", state: "good", detail },
          claim ? [claim] : [],
          utc - mono,
        ),
      );
    }
    const against = claims.filter((c) => this.disagreeing.includes(c.id));
    return {
      source: (this.chosen?.kind as SourceKind | undefined) ?? "system",
      boundMs: this.boundMs(),
      correctionMs: chosen ? this.correctionMs(chosen) : 0,
      slewPpm: this.steering.course(mono).slewPpm,
      sources,
      step: this.pendingStep,
      slept: this.slept,
      dispute: this.disputed
        ? {
            byMs: Math.max(0, ...against.map((c) => Math.abs(c.offsetMs - (chosen?.offsetMs ?? 0)))),
            ids: this.disagreeing,
          }
        : null,
      witnesses: { verdict: v.verdict, byMs: v.byMs, count: v.count },
      site: [...this.reports.values()].find((r) => r.site)?.site ?? null,
    };
  }

  get marks(): readonly Mark[] {
    return this.markList;
  }

  /** The lead pressed now, and it is `utc` by watch or pips. */
  setAtMark(utc: UtcMs): void {
    const mono = this.ports.clock.mono();
    this.markList.push({ offsetMs: utc - mono, atMono: mono });
    this.log("mark", { byMs: utc - this.steering.utc(mono), count: this.markList.length });
    this.decide();
    this.announce();
  }

  clearMarks(): void {
    this.markList = [];
    this.decide();
    this.announce();
  }

  /** The system's step was right: follow its clock again (slewed; setNow makes it at once). */
  adoptStep(): void {
    if (!this.pendingStep) return;
    this.log("stepAdopted", { byMs: this.pendingStep.byMs });
    this.wallOffset += this.pendingStep.byMs;
    this.pendingStep = null;
    this.decide();
    this.announce();
  }

  /** The system's step was wrong: take it off the system's clock from now on. */
  refuseStep(): void {
    if (!this.pendingStep) return;
    this.log("stepRefused", { byMs: this.pendingStep.byMs });
    this.wallCorrection -= this.pendingStep.byMs;
    this.pendingStep = null;
    this.decide();
    this.announce();
  }

  /** The lead says: correct at once what is being slewed. Returns the step made, ms. */
  setNow(): number {
    const mono = this.ports.clock.mono();
    const by = this.chosen ? this.correctionMs(this.chosen) : 0;
    this.steering.step(mono, by);
    this.log("setNow", { byMs: by });
    this.announce();
    return by;
  }

  acknowledgeSleep(): void {
    this.slept = null;
    this.announce();
  }

  /** A device's wall clock − the eclipse clock, ms, and how well the device knows the hub, ms. */
  addWitness(deviceId: string, offsetMs: number, boundMs: number): void {
    this.witnesses.set(deviceId, { deviceId, offsetMs, boundMs, atMono: this.ports.clock.mono() });
  }

  dropWitness(deviceId: string): void {
    this.witnesses.delete(deviceId);
  }

  /** What to keep for the next start, so that refused steps and marks are not lost. */
  save(): SavedHubClock {
    const { mono, wall } = this.readings();
    return {
      v: 1,
      atWallMs: wall,
      wallCorrectionMs: this.wallCorrection - (this.pendingStep?.byMs ?? 0),
      marks: this.markList.map((m) => m.offsetMs + mono - wall),
    };
  }

  private readings() {
    const mono = this.ports.clock.mono();
    return { mono, wall: this.ports.clock.wall(), uptime: this.ports.uptimeMs() };
  }

  private realRun(): boolean {
    return this.options.inRealRun?.() ?? true;
  }

  private aged(e: OffsetEstimate, ppm: number): number {
    return e.boundMs + Math.max(0, this.ports.clock.mono() - e.atMono) * ppm * 1e-6;
  }

  private currentClaims(): Claim[] {
    const mono = this.ports.clock.mono();
    const claims: Claim[] = [];
    const known = this.systemKnown;
    const sinceStart = Math.max(0, mono - this.startMono);
    claims.push({
      id: "system",
      kind: "system",
      offsetMs: this.wallOffset,
      boundMs:
        this.sleepDoubtMs +
        (known
          ? known.boundMs + (mono - known.atMono) * CRYSTAL_PPM * 1e-6
          : UNKNOWN_SYSTEM_BOUND_MS + sinceStart * UNKNOWN_SYSTEM_PPM * 1e-6),
    });
    for (const r of this.reports.values())
      if (r.estimate && r.kind !== "system")
        claims.push({
          id: r.id,
          kind: r.kind,
          offsetMs: r.estimate.offsetMs,
          boundMs: this.aged(r.estimate, CRYSTAL_PPM),
        });
    const marks = estimateFromMarks(this.markList);
    if (marks)
      claims.push({
        id: "hand",
        kind: "hand",
        offsetMs: marks.offsetMs,
        boundMs: this.aged(marks, CRYSTAL_PPM),
      });
    return claims;
  }

  private verdict(): WitnessVerdict {
    const mono = this.ports.clock.mono();
    return judgeWitnesses([...this.witnesses.values()].filter((w) => mono - w.atMono < WITNESS_MS));
  }

  /** A source that cannot vouch for itself is narrowed by witnesses that agree with the clock. */
  private narrowed(claim: Claim): Claim {
    if (claim.kind !== "system" && claim.kind !== "hand") return claim;
    const v = this.verdict();
    if (v.verdict !== "agreed") return claim;
    return { ...claim, boundMs: Math.min(claim.boundMs, Math.abs(v.byMs) + v.boundMs) };
  }

  private correctionMs(claim: Claim): number {
    const mono = this.ports.clock.mono();
    return claim.offsetMs - (this.steering.utc(mono) - mono);
  }

  private decide(): void {
    const mono = this.ports.clock.mono();
    const claims = this.currentClaims();
    const v = this.verdict();
    if (v.verdict !== "too few")
      claims.push({
        id: "witnesses",
        kind: "witnesses",
        offsetMs: this.steering.utc(mono) - mono + v.byMs,
        boundMs: v.boundMs,
      });
    const choice = chooseSource(claims, this.chosen?.id ?? null);
    if (choice.chosen && choice.chosen.id !== this.chosen?.id)
      this.log("sourceChosen", {
        id: choice.chosen.id,
        kind: choice.chosen.kind,
        boundMs: choice.chosen.boundMs,
      });
    this.chosen = choice.chosen;
    this.disagreeing = choice.disagreeing;
    this.disputed = choice.disputed;
    if (v.verdict !== this.lastVerdict)
      this.log("witnesses", { verdict: v.verdict, byMs: v.byMs, count: v.count });
    this.lastVerdict = v.verdict;
  }

  private sleep(forMs: number): void {
    const mono = this.ports.clock.mono();
    const doubt = this.ports.uptimeStepMs + 20 + forMs * CRYSTAL_PPM * 1e-6;
    this.steering.step(mono, forMs);
    this.sleepDoubtMs += doubt;
    this.wallOffset += forMs;
    for (const r of this.reports.values())
      if (r.estimate)
        r.estimate = {
          ...r.estimate,
          offsetMs: r.estimate.offsetMs + forMs,
          boundMs: r.estimate.boundMs + doubt,
        };
    this.markList = this.markList.map((m) => ({ ...m, offsetMs: m.offsetMs + forMs }));
    this.witnesses.clear();
    this.slept = { forMs, seenAtUtcMs: this.steering.utc(mono), boundMs: this.boundMs() };
    this.log("slept", { forMs });
    this.events.emit("sleep", this.status());
  }

  private stepSeen(byMs: number): void {
    const at = this.steering.utc(this.ports.clock.mono());
    const total = (this.pendingStep?.byMs ?? 0) + byMs;
    this.log("stepSeen", { byMs });
    // stepped back to where it was: nothing left to ask
    this.pendingStep = Math.abs(total) < 20 ? null : { byMs: total, seenAtUtcMs: at };
    this.events.emit("step", this.status());
  }

  private sourceStatus(r: SourceReport, claims: Claim[], offset: number): SourceStatus {
    const claim = claims.find((c) => c.id === r.id);
    let state = r.state;
    if (claim && r.id === this.chosen?.id) state = "inUse";
    else if (claim && this.disagreeing.includes(r.id)) state = "disagrees";
    if (r.kind === "system" && this.pendingStep) state = "stepped";
    const at = r.kind === "hand" ? this.markList[this.markList.length - 1]?.atMono : r.estimate?.atMono;
    return {
      id: r.id,
      kind: r.kind,
      offsetMs: claim ? claim.offsetMs - offset : null,
      boundMs: claim ? claim.boundMs : null,
      ageS: at === undefined ? null : (this.ports.clock.mono() - at) / 1000,
      state,
      detail: r.detail,
    };
  }

  private log(type: ClockLogEntry["type"], data: ClockLogEntry["data"]): void {
    this.events.emit("log", { type, atUtcMs: this.steering.utc(this.ports.clock.mono()), data });
  }

  /** Tells of a change when something a person would see has changed. */
  private announce(): void {
    const s = this.status();
    const key = JSON.stringify([
      s.source,
      s.step,
      s.slept,
      s.dispute?.ids,
      s.witnesses.verdict,
      s.sources.map((x) => [x.id, x.state]),
      Math.round(8 * Math.log2(Math.max(0.1, s.boundMs))),
    ]);
    if (key === this.lastKey) return;
    this.lastKey = key;
    this.events.emit("change", s);
  }
}

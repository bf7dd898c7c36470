/**
 * What every source has said, carried to the present: offsets from the hub's monotonic clock, with
 * bounds grown with age. Pure but for its state; times are arguments.
 *
 * Bounds grow by 50 ppm (CRYSTAL_PPM). A system clock that does not vouch for itself has 0.5 s,
 * growing by 15 ppm since the hub's start (PHI of RFC 5905; a laptop that saw a network the day
 * before: common practice, no source), so that it reaches one second after nine hours.
 */
import { type MonoMs, monoMs } from "../../shared/time/instants.ts";
import type { Claim } from "./choose.ts";
import type { SavedHubClock } from "./hub-clock-status.ts";
import { estimateFromMarks, type Mark } from "./marks.ts";
import { CRYSTAL_PPM, type OffsetEstimate, type SourceKind, type SourceReport } from "./ports.ts";
import type { Readings } from "./watch.ts";

export const UNKNOWN_SYSTEM_BOUND_MS = 500;
const UNKNOWN_SYSTEM_PPM = 15;
/** Reading the system's clock: it is cut off to whole ms. */
const WALL_READING_MS = 1;
/** A restarted hub goes on from what it saved for this long. */
const KEPT_MS = 12 * 3_600_000;

export class Ledger {
  readonly reports = new Map<string, SourceReport>([
    ["system", { id: "system", kind: "system", state: "unknown", detail: "" }],
  ]);
  marks: Mark[] = [];
  /** Added to the wall clock: refused steps, taken off again. */
  wallCorrectionMs = 0;
  /** Steps of the wall clock that nobody has judged yet, from before the start, ms. */
  unjudgedMs = 0;
  private wallOffset: number;
  private readonly start: number;
  private systemVouches: { boundMs: number; atMono: number } | null = null;
  /** What sleeps have added to the bound of the system clock since the last fix, ms. */
  sleepDoubtMs = 0;
  private kept: { estimate: OffsetEstimate; kind: SourceKind } | null = null;

  constructor(now: Readings, saved: SavedHubClock | undefined, uptimeStepMs: number) {
    this.start = now.mono;
    if (saved) this.restore(now, saved, uptimeStepMs);
    this.wallOffset = this.wallReading(now) - this.unjudgedMs - now.mono;
  }

  /** Twice a second. */
  seeWall(now: Readings): void {
    const wall = this.wallReading(now) - now.mono;
    const change = wall - this.wallOffset;
    this.wallOffset += Math.abs(change) > 5 ? change : 0.05 * change;
  }

  take(r: SourceReport): void {
    const before = this.reports.get(r.id);
    // what was measured before keeps its worth while a source is silent
    this.reports.set(r.id, { ...r, estimate: r.estimate ?? before?.estimate, site: r.site ?? before?.site });
    if (r.kind === "system")
      this.systemVouches = r.estimate ? { boundMs: r.estimate.boundMs, atMono: r.estimate.atMono } : null;
    else if (r.estimate) this.sleepDoubtMs = 0;
  }

  /** The machine slept: the monotonic clock stood still, every offset has grown by it. */
  slept(forMs: number, doubtMs: number): void {
    const move = <T extends OffsetEstimate>(e: T): T => ({
      ...e,
      offsetMs: e.offsetMs + forMs,
      boundMs: e.boundMs + doubtMs,
    });
    this.sleepDoubtMs += doubtMs;
    this.wallOffset += forMs;
    for (const r of this.reports.values()) if (r.estimate) r.estimate = move(r.estimate);
    this.marks = this.marks.map((m) => ({ ...m, offsetMs: m.offsetMs + forMs }));
    if (this.kept) this.kept.estimate = move(this.kept.estimate);
  }

  /** Whether this start goes on from what was saved before it. */
  get goesOn(): boolean {
    return this.kept !== null;
  }

  claims(mono: MonoMs): Claim[] {
    const grown = (e: { boundMs: number; atMono: number }) =>
      e.boundMs + Math.max(0, mono - e.atMono) * CRYSTAL_PPM * 1e-6;
    const unknown = UNKNOWN_SYSTEM_BOUND_MS + Math.max(0, mono - this.start) * UNKNOWN_SYSTEM_PPM * 1e-6;
    const claims: Claim[] = [
      {
        id: "system",
        kind: "system",
        offsetMs: this.wallOffset,
        boundMs:
          WALL_READING_MS + this.sleepDoubtMs + (this.systemVouches ? grown(this.systemVouches) : unknown),
      },
    ];
    for (const r of this.reports.values())
      if (r.estimate && r.kind !== "system")
        claims.push({ id: r.id, kind: r.kind, offsetMs: r.estimate.offsetMs, boundMs: grown(r.estimate) });
    const marks = estimateFromMarks(this.marks);
    if (marks) claims.push({ id: "hand", kind: "hand", offsetMs: marks.offsetMs, boundMs: grown(marks) });
    if (this.kept && mono - this.kept.estimate.atMono < KEPT_MS)
      claims.push({
        id: "kept",
        kind: this.kept.kind,
        offsetMs: this.kept.estimate.offsetMs,
        boundMs: grown(this.kept.estimate),
      });
    return claims;
  }

  private wallReading(now: Readings): number {
    const cutOff = Number.isInteger(now.wall) ? 0.5 : 0;
    return now.wall + cutOff + this.wallCorrectionMs;
  }

  /**
   * Goes on where the hub stopped. The wall clock bridges the gap unless it was stepped meanwhile;
   * then the machine's uptime does. After a restart of the machine neither can.
   */
  private restore(now: Readings, saved: SavedHubClock, uptimeStepMs: number): void {
    this.wallCorrectionMs = saved.wallCorrectionMs;
    this.unjudgedMs = saved.pendingStepMs;
    for (const m of saved.marks)
      this.marks.push({ offsetMs: m + now.wall - now.mono, atMono: monoMs(now.mono) });
    const gap = now.uptime - saved.uptimeMs;
    if (gap < 0 || gap > KEPT_MS) return;
    this.sleepDoubtMs = saved.sleepDoubtMs;
    const stepped = now.wall - saved.atWallMs - gap;
    const drift = gap * CRYSTAL_PPM * 1e-6;
    const bridgedByWall = Math.abs(stepped) < 20 + 2 * uptimeStepMs + drift;
    const eclipse = bridgedByWall
      ? now.wall + saved.eclipseMinusWallMs
      : saved.atWallMs + saved.eclipseMinusWallMs + gap;
    if (!bridgedByWall) this.unjudgedMs += stepped;
    const doubt = drift + 2 + (bridgedByWall ? 0 : 2 * uptimeStepMs);
    this.kept = {
      kind: saved.kind,
      estimate: {
        offsetMs: eclipse - now.mono,
        boundMs: saved.boundMs + doubt,
        atMono: monoMs(now.mono),
      },
    };
  }
}

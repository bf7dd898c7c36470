/**
 * What every source has said, carried to the present: offsets from the hub's monotonic clock, with
 * bounds grown with age. Pure but for its state; times are arguments.
 *
 * Bounds grow by 50 ppm (CRYSTAL_PPM). A system clock that does not vouch for itself and never did
 * has ten minutes, growing by 15 ppm since the hub's start (PHI of RFC 5905). A laptop set by hand
 * is off by up to minutes, and its battery clock drifts by seconds a day (common practice, no
 * source); nobody can say how much, and the figure only has to exceed any totality (7.5 min), so
 * that it puts everything in doubt (S5). What a system vouched for before it fell silent holds on
 * with age, like any other source's word: one run of a tool that took too long changes nothing.
 */
import { type MonoMs, monoMs } from "../../shared/time/instants.ts";
import type { Claim } from "./choose.ts";
import type { SavedHubClock } from "./hub-clock-status.ts";
import { estimateFromMarks, type Mark } from "./marks.ts";
import { CRYSTAL_PPM, type OffsetEstimate, type SourceKind, type SourceReport } from "./ports.ts";
import type { Readings } from "./watch.ts";

export const UNKNOWN_SYSTEM_BOUND_MS = 600_000;
const UNKNOWN_SYSTEM_PPM = 15;
/** Reading the system's clock: it is cut off to whole ms. */
const WALL_READING_MS = 1;
/** A restarted hub goes on from what it saved for this long. */
const KEPT_MS = 12 * 3_600_000;
/** A system's word on its clock holds for a reading of ours this near to it, ms. */
const SAME_READING_MS = 100;

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
  /** Where enough witnesses together said UTC is; holds on with age when they have left. */
  witnessed: OffsetEstimate | null = null;
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
    if (r.kind === "system") this.takeSystemsWord(r.estimate);
    else if (r.estimate) this.sleepDoubtMs = 0;
  }

  /** Whether a source says now that it is good, for the reading that we have of it. */
  vouches(id: string): boolean {
    return this.reports.get(id)?.state === "good" && (id !== "system" || this.systemVouches !== null);
  }

  /** The lead follows the system's clock as it was set: what was vouched for its former reading ends. */
  wallAdopted(now: Readings): void {
    this.seeWall(now);
    this.systemVouches = null;
    const system = this.reports.get("system");
    if (system?.state === "good") this.takeSystemsWord(system.estimate);
  }

  /** With the marks goes what was kept of them over a restart. */
  forgetMarks(): void {
    this.marks = [];
    if (this.kept?.kind === "hand") this.kept = null;
  }

  /** The lead does not trust some witnesses: what was known by witnesses alone no longer is. */
  distrustWitnesses(): void {
    this.witnessed = null;
    if (this.kept?.kind === "system")
      this.kept.estimate.boundMs = Math.max(this.kept.estimate.boundMs, UNKNOWN_SYSTEM_BOUND_MS);
  }

  /** A step that was refused, or not judged yet: the system vouches for another reading than ours. */
  private takeSystemsWord(word: OffsetEstimate | undefined): void {
    if (word && Math.abs(word.offsetMs - this.wallOffset) < SAME_READING_MS)
      this.systemVouches = { boundMs: word.boundMs, atMono: word.atMono };
  }

  /**
   * The machine slept: the monotonic clock stood still, every offset has grown by it. `resetMs`: how
   * much the system's clock has moved by itself in that time.
   */
  slept(forMs: number, doubtMs: number, resetMs: number): void {
    const move = <T extends OffsetEstimate>(e: T): T => ({
      ...e,
      offsetMs: e.offsetMs + forMs,
      boundMs: e.boundMs + doubtMs,
    });
    this.sleepDoubtMs += doubtMs + resetMs;
    this.wallOffset += forMs;
    for (const r of this.reports.values()) if (r.estimate) r.estimate = move(r.estimate);
    this.marks = this.marks.map((m) => ({
      ...m,
      offsetMs: m.offsetMs + forMs,
      doubtMs: (m.doubtMs ?? 0) + doubtMs,
    }));
    if (this.witnessed) this.witnessed = move(this.witnessed);
    if (this.kept) this.kept.estimate = move(this.kept.estimate);
  }

  /** Whether this start goes on from what was saved before it. */
  get goesOn(): boolean {
    return this.kept !== null;
  }

  /** Where witnesses said UTC is, with its bound grown to the present; null when none have lately. */
  byWitnesses(mono: MonoMs): OffsetEstimate | null {
    const { witnessed } = this;
    if (!witnessed || mono - witnessed.atMono > KEPT_MS) return null;
    return { ...witnessed, boundMs: grown(witnessed, mono) };
  }

  claims(mono: MonoMs): Claim[] {
    const unknown = UNKNOWN_SYSTEM_BOUND_MS + Math.max(0, mono - this.start) * UNKNOWN_SYSTEM_PPM * 1e-6;
    const claims: Claim[] = [
      {
        id: "system",
        kind: "system",
        offsetMs: this.wallOffset,
        boundMs:
          WALL_READING_MS +
          this.sleepDoubtMs +
          (this.systemVouches ? grown(this.systemVouches, mono) : unknown),
      },
    ];
    for (const r of this.reports.values())
      if (r.estimate && r.kind !== "system")
        claims.push({
          id: r.id,
          kind: r.kind,
          offsetMs: r.estimate.offsetMs,
          boundMs: grown(r.estimate, mono),
        });
    const marks = estimateFromMarks(this.marks);
    if (marks)
      claims.push({ id: "hand", kind: "hand", offsetMs: marks.offsetMs, boundMs: grown(marks, mono) });
    if (this.kept && mono - this.kept.estimate.atMono < KEPT_MS)
      claims.push({
        id: "kept",
        kind: this.kept.kind,
        offsetMs: this.kept.estimate.offsetMs,
        boundMs: grown(this.kept.estimate, mono),
      });
    return claims;
  }

  private wallReading(now: Readings): number {
    const cutOff = Number.isInteger(now.wall) ? 0.5 : 0;
    return now.wall + cutOff + this.wallCorrectionMs;
  }

  /**
   * Goes on where the hub stopped. The wall clock bridges the gap unless it was stepped meanwhile;
   * then the machine's uptime does. After a restart of the machine neither can: what was known of
   * the wall clock, by marks or by a refused step, is known no more.
   */
  private restore(now: Readings, saved: SavedHubClock, uptimeStepMs: number): void {
    this.unjudgedMs = saved.pendingStepMs;
    const gap = now.uptime - saved.uptimeMs;
    if (gap < 0 || gap > KEPT_MS) return;
    this.wallCorrectionMs = saved.wallCorrectionMs;
    this.sleepDoubtMs = saved.sleepDoubtMs;
    const stepped = now.wall - saved.atWallMs - gap;
    const drift = gap * CRYSTAL_PPM * 1e-6;
    const bridgedByWall = Math.abs(stepped) < 20 + 2 * uptimeStepMs + drift;
    const eclipse = bridgedByWall
      ? now.wall + saved.eclipseMinusWallMs
      : saved.atWallMs + saved.eclipseMinusWallMs + gap;
    if (!bridgedByWall) {
      this.unjudgedMs += stepped - this.wallCorrectionMs;
      this.wallCorrectionMs = 0;
    }
    const doubt = drift + 2 + (bridgedByWall ? 0 : 2 * uptimeStepMs);
    for (const m of saved.marks) {
      // Earlier programs did not keep how old a mark is; the clock that came of them is kept below.
      if (typeof m === "number") continue;
      const utc = m.offsetMs + (bridgedByWall ? now.wall : saved.atWallMs + gap);
      const doubtMs = m.doubtMs + doubt - drift;
      this.marks.push({ offsetMs: utc - now.mono, atMono: monoMs(now.mono - gap - m.ageMs), doubtMs });
    }
    // Earlier programs took a system clock that said nothing to be good to half a second.
    const least = saved.v === 1 && saved.kind === "system" ? UNKNOWN_SYSTEM_BOUND_MS : 0;
    this.kept = {
      kind: saved.kind,
      estimate: {
        offsetMs: eclipse - now.mono,
        boundMs: Math.max(least, saved.boundMs) + doubt,
        atMono: monoMs(now.mono),
      },
    };
  }
}

function grown(e: { boundMs: number; atMono: number }, mono: number): number {
  return e.boundMs + Math.max(0, mono - e.atMono) * CRYSTAL_PPM * 1e-6;
}

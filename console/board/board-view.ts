/**
 * What the board says at an instant: what is happening, what comes next and when, one safety line
 * that is right for this place, and the Sun as it stands. Pure: snapshot and instant in, keys out.
 *
 * The safety line follows S13, S1, S2 and S8 (SAFETY: shared/plan/safety/SPEC.md):
 *   - glasses come off only at a total site, only once the lead has called totality by eye, never
 *     by the clock, and never in a practice run;
 *   - glasses are on again at C3−15 s by the clock, earlier by the doubt (S5) and by what this
 *     page's clock may be off, and at once when the lead calls the Sun's return or "stay filtered";
 *     once said they stay on until totality is called anew, though the doubt has gone;
 *   - a board without its hub says glasses on: no call reaches it;
 *   - partial and annular: glasses on throughout.
 * C2 and C3 count only where a totality or ring can be seen (`kind`), whatever the geometry says.
 */
import { sunAt } from "../../shared/eclipse/sun.ts";
import type { BoardSnapshot } from "../../shared/protocol/messages.ts";
import { earliest, later, type RunMs, type UtcMs, utcMs } from "../../shared/time/instants.ts";
import { coveredWidth, moonPosition, parallacticAngleDeg } from "../parts/moon-position.ts";
import type { WordKey } from "../words/words.ts";
import { practiceOn, runTimeOf } from "./run-clock.ts";

/** S13: glasses on again so long before C3. */
const GLASSES_ON_BEFORE_C3_MS = 15_000;

/** With a clock worse than this, ms, nobody is told to take glasses off. Common practice, no source. */
const CLOCK_UNKNOWN_MS = 60_000;

type BoardPhase =
  | "unset"
  | "none"
  | "below"
  | "before"
  | "covering"
  | "due"
  | "totality"
  /** Glasses on already, since nobody knows C3 to the second: it may be totality still. */
  | "ending"
  | "returning"
  | "ring"
  | "uncovering"
  | "after";

type NextStep = "begin" | "totality" | "ring" | "greatest" | "glassesOn" | "return" | "ringEnd" | "end";

export type SafetyLine =
  | "on"
  | "onUntilCall"
  | "wait"
  | "off"
  | "offPractice"
  | "onNow"
  | "onThroughout"
  | "stay"
  | "sunDown"
  | "alone"
  | "always";

export interface BoardView {
  runNowMs: RunMs;
  /** A practice run is on (S8: the page itself ends it at its latest end). */
  practice: { endsAtUtcMs: UtcMs; rate: number } | null;
  kind: BoardSnapshot["kind"];
  /** Contacts that count here, run time ms. */
  contacts: BoardSnapshot["contacts"];
  /** Totality or ring, seconds; 0 where there is none. */
  centralS: number;
  phase: BoardPhase;
  /** What the one safety line comes to. */
  glasses: "on" | "off";
  next: { step: NextStep; atRunMs: RunMs } | null;
  safety: SafetyLine;
  /** The Sun in the sky at this site; null while no site is known. */
  sun: BoardSun | null;
}

export interface BoardSun {
  altitudeDeg: number;
  azimuthDeg: number;
  up: boolean;
  moon: { separation: number; angleFromZenithDeg: number; ratio: number } | null;
  /** Fraction of the Sun's width that is covered, 0…1. */
  covered: number;
  /** Draw the corona: totality has been called. */
  totality: boolean;
}

export interface BoardKnowledge {
  /** How far this page's clock may be off what the contacts are given in, ms. */
  boundMs: number;
  /** Whether the hub is heard: calls arrive. */
  linked: boolean;
  /** S7, from any source. */
  cover: boolean;
  /** The call of totality after which this page has said "glasses on" already (glassesOnAfter). */
  onAfterCallMs?: RunMs | null;
}

/** How the next step is called: in a practice nothing is called so that glasses would be off until then (S8). */
export function nextKey(step: NextStep, { practice }: Pick<BoardView, "practice">): WordKey {
  return step === "glassesOn" && practice ? "board.next.glassesOnPractice" : `board.next.${step}`;
}

/** What a page is to keep of its last view: the call after which glasses went on again; null for none. */
export function glassesOnAfter(
  { phase }: BoardView,
  { calledTotalityMs }: BoardSnapshot,
  before: RunMs | null,
): RunMs | null {
  return phase === "ending" || phase === "returning" ? calledTotalityMs : before;
}

export function boardView(snapshot: BoardSnapshot, nowUtcMs: UtcMs, known: BoardKnowledge): BoardView {
  const { boundMs, linked, cover, onAfterCallMs = null } = known;
  const { kind } = snapshot;
  const practice = practiceOn(snapshot.practice, nowUtcMs);
  const runNowMs = runTimeOf(snapshot.practice, nowUtcMs);
  const central = kind === "total" || kind === "annular";
  // Calls and shifts of a practice that this page has ended by itself are not the eclipse's.
  const heard = practice !== null || snapshot.practice === null;
  const here = heard ? snapshot.contacts : snapshot.realContacts;
  const contacts = central ? here : { ...here, c2: null, c3: null, filterC3: null, safeC3: null };
  const { c2, c3, safeC3 } = contacts;
  const clockKnown = boundMs < CLOCK_UNKNOWN_MS;
  const earlierMs = GLASSES_ON_BEFORE_C3_MS + (clockKnown ? Math.max(0, boundMs) : 0);
  const saidOn = onAfterCallMs !== null && onAfterCallMs === snapshot.calledTotalityMs;
  const byClockMs = safeC3 === null ? null : later(safeC3, -earlierMs);
  const glassesOnMs = byClockMs !== null && saidOn ? earliest(byClockMs, runNowMs) : byClockMs;
  const called =
    linked &&
    !cover &&
    heard &&
    clockKnown &&
    kind === "total" &&
    !snapshot.stayFiltered &&
    snapshot.calledReturnMs === null &&
    snapshot.calledTotalityMs !== null &&
    runNowMs >= snapshot.calledTotalityMs &&
    glassesOnMs !== null &&
    runNowMs < glassesOnMs;
  const phase = phaseAt(snapshot, contacts, runNowMs, called, glassesOnMs, earlierMs);
  const sun = sunOf(snapshot, contacts, runNowMs, phase === "totality");
  const safety = safetyAt(snapshot, phase, practice !== null, heard, linked, sun);
  return {
    runNowMs,
    practice: practice && { endsAtUtcMs: practice.endsAtUtcMs, rate: practice.rate },
    kind,
    contacts,
    centralS: c2 !== null && c3 !== null ? Math.max(0, (c3 - c2) / 1000) : 0,
    phase,
    next: nextAt(phase, kind, contacts, runNowMs, glassesOnMs),
    glasses: safety === "off" ? "off" : "on",
    safety,
    sun,
  };
}

function phaseAt(
  snapshot: BoardSnapshot,
  contacts: BoardSnapshot["contacts"],
  now: RunMs,
  called: boolean,
  glassesOnMs: RunMs | null,
  earlierMs: number,
): BoardPhase {
  const { kind } = snapshot;
  const { c1, c2, max, c3, filterC3, c4 } = contacts;
  if (kind === "unset") return "unset";
  if (kind === "none") return snapshot.magnitude > 0 ? "below" : "none";
  if (called) return "totality";
  if (c1 !== null && now < c1) return "before";
  if (c4 !== null && now >= c4) return "after";
  if (c2 !== null && c3 !== null && now >= c2 && now < c3) {
    if (kind === "annular") return "ring";
    if (filterC3 !== null && now >= filterC3 - earlierMs) return "returning";
    const wasSeen = snapshot.calledTotalityMs !== null;
    return wasSeen && glassesOnMs !== null && now >= glassesOnMs ? "ending" : "due";
  }
  const turn = c3 ?? max;
  return turn !== null && now >= turn ? "uncovering" : "covering";
}

function nextAt(
  phase: BoardPhase,
  kind: BoardSnapshot["kind"],
  contacts: BoardSnapshot["contacts"],
  now: RunMs,
  glassesOnMs: RunMs | null,
): BoardView["next"] {
  const step = (name: NextStep, atRunMs: RunMs | null): BoardView["next"] =>
    atRunMs === null ? null : { step: name, atRunMs };
  const { c1, c2, max, c3, c4 } = contacts;
  switch (phase) {
    case "before":
      return step("begin", c1);
    case "covering":
      if (c2 !== null && now < c2) return step(kind === "total" ? "totality" : "ring", c2);
      return step("greatest", max);
    case "due":
    case "ending":
    case "returning":
      return step("return", c3);
    case "totality":
      return step("glassesOn", glassesOnMs);
    case "ring":
      return step("ringEnd", c3);
    case "uncovering":
      return step("end", c4);
    default:
      return null;
  }
}

function safetyAt(
  snapshot: BoardSnapshot,
  phase: BoardPhase,
  practice: boolean,
  heard: boolean,
  linked: boolean,
  sun: BoardSun | null,
): SafetyLine {
  if (phase === "unset" || phase === "none" || phase === "below" || phase === "after") return "always";
  if (phase === "totality") return practice ? "offPractice" : "off";
  if (phase === "returning" || phase === "ending") return "onNow";
  if (sun && !sun.up) return "sunDown";
  if (!linked) return "alone";
  if (snapshot.kind !== "total") return "onThroughout";
  if (snapshot.stayFiltered && heard && phase !== "uncovering") return "stay";
  if (phase === "due") return "wait";
  return phase === "uncovering" ? "on" : "onUntilCall";
}

function sunOf(
  snapshot: BoardSnapshot,
  contacts: BoardSnapshot["contacts"],
  now: RunMs,
  totality: boolean,
): BoardSun | null {
  const { latDeg, lonDeg, heightM, ratio, magnitude, positionAngles } = snapshot;
  if (latDeg === null || lonDeg === null) return null;
  const { altitudeDeg, azimuthDeg, up } = sunAt(utcMs(now), {
    ...{ latDeg, lonDeg, heightM: heightM ?? undefined },
  });
  const nothing = snapshot.kind === "unset" || snapshot.kind === "none";
  const moon = nothing ? null : moonPosition({ contacts, positionAngles, magnitude, ratio }, now);
  return {
    altitudeDeg,
    azimuthDeg,
    up,
    moon: moon && {
      separation: moon.separation,
      angleFromZenithDeg: moon.positionAngleDeg - parallacticAngleDeg({ altitudeDeg, azimuthDeg }, latDeg),
      ratio,
    },
    covered: moon ? coveredWidth(moon.separation, ratio) : 0,
    totality,
  };
}

/** So high a direction helps nobody: it is looked for straight up. Common practice, no source. */
const OVERHEAD_DEG = 75;

export function isOverhead(altitudeDeg: number): boolean {
  return altitudeDeg >= OVERHEAD_DEG;
}

/** The eight winds, from north through east, for azimuths in degrees. */
const WINDS = ["n", "ne", "e", "se", "s", "sw", "w", "nw"] as const;

export function windOf(azimuthDeg: number): (typeof WINDS)[number] {
  return WINDS[Math.round((((azimuthDeg % 360) + 360) % 360) / 45) % 8] ?? "n";
}

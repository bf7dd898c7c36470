/**
 * The rules as the model holds the program to them, written from the safety rules' text alone
 * (S1–S15) and from nothing the program does. Each check is a necessary condition, lenient where
 * the text leaves room; a second is the tolerance everywhere. Numbers are common practice without
 * a published source, as the rules say.
 *
 *   O1  an open filter has its filter-on cue, an open looked-through rig its eyes-away (S9)
 *   O2  no unfiltering word outside what the rules allow (S2–S6, S8, S10, S11, S13, S14)
 *   O3  no board says "glasses off" against the rules, or while a rig says glasses on (S13)
 *   O4  who obeys, with totality called within 5 s of the truth, is told in time by the true sky
 *   O5  nothing but a fresh held call unfilters (S6)
 *   O6  open outside the allowance: the page says filter on (S1)
 *   O7  a confirm is of the instruction that is shown (S9)
 *   O8  doubt brings filter-on forward (S5)
 *   O9  a call of totality is refused too early and where there is none (S6, S2)
 */
import { type CuesByRig, type PhoneShows, type ShownCue, sunIsUp } from "./adaptor.ts";
import { RIG_DRAFTS, type RigName, rigId } from "./places.ts";
import type { History, Knows } from "./record.ts";

const S = 1000;
const TOLERANCE_MS = S;

export interface Finding {
  /** Which oracle and which rule, short and the same for the same fault. */
  code: string;
  detail: string;
}
export type Report = (code: string, detail: string) => void;

export interface RigNature {
  id: string;
  /** A filter that could come off at all. */
  filtered: boolean;
  looked: boolean;
  /** S2: never, anywhere. */
  never: boolean;
  /** S4, seconds. */
  earlyS: number;
}

export function natureOf(name: RigName): RigNature {
  const draft: {
    kind: string;
    lookedThrough?: boolean;
    publicQueue?: boolean;
    focalLengthMm?: number;
    filter?: string;
  } = RIG_DRAFTS[name];
  const focalMm = draft.focalLengthMm ?? 9999;
  return {
    id: rigId(name),
    filtered: draft.filter !== "none by design",
    looked: draft.lookedThrough === true || draft.kind === "visual-telescope" || draft.kind === "binocular",
    never: draft.kind === "narrowband-telescope" || draft.publicQueue === true,
    earlyS: focalMm <= 100 ? 45 : focalMm <= 500 ? 30 : 20,
  };
}

// ---------------------------------------------------------------- what follows from what is known

/** S5: whether there is doubt, and its figure in seconds, bounded by the length and not. */
export function doubtOf(k: Knows): { any: boolean; s: number; fullS: number } {
  const { boundMs, hubBoundMs, apartMs, disputed, stepped } = k.seenBy.clock;
  const clockS = (k.practice ? boundMs : Math.max(boundMs + hubBoundMs, apartMs)) / S;
  const { placeS, lengthS } = k.sky;
  const now = k.seenBy.nowUtc;
  const recent = (at: number) => now - at < 59 * S;
  const any =
    clockS > 1 ||
    (!k.practice && (disputed || stepped)) ||
    !k.confirmed ||
    placeS > 30 ||
    placeS >= lengthS / 2 ||
    recent(k.revisedUtc) ||
    recent(k.movedUtc);
  const fullS = any ? placeS + clockS : 0;
  return { any, s: Math.min(lengthS, fullS), fullS };
}

/** S5: what a call of the eye leaves of the doubt. */
function settledS(k: Knows, calledAt: number | null): number {
  const { s } = doubtOf(k);
  if (calledAt === null || k.sky.c2 === null) return s;
  return Math.min(s, Math.abs(calledAt - k.sky.c2) / S + 5);
}

const shiftOf = (k: Knows, contact: string): number => k.shifts[contact] ?? 0;
/** From when the clock alone may unfilter: a shift is trusted for what S3 leaves, 10 s. */
const c2Least = (k: Knows): number =>
  k.sky.c2 === null ? Number.POSITIVE_INFINITY : k.sky.c2 + Math.max(-10 * S, Math.min(0, shiftOf(k, "c2")));
/** C3 by the clock: no shift makes it later. */
const c3Clock = (k: Knows): number =>
  k.sky.c3 === null ? Number.NEGATIVE_INFINITY : k.sky.c3 + Math.min(0, shiftOf(k, "c3"));
/** A call of the Sun's return that ends totality. */
const returnedAt = (k: Knows): number =>
  k.returnedAt !== null && k.returnedAt >= c2Least(k) ? k.returnedAt : Number.POSITIVE_INFINITY;
/** Until when totality may last. */
const c3Most = (k: Knows): number => Math.min(c3Clock(k), returnedAt(k));

/** The operator's own "I see totality" of a rig, where it may count (S5, S6). */
function sawAt(record: History, k: Knows, id: string): number | null {
  const saw = record.newest("saw", id, k, false);
  // Said too early by the sayer's doubt, and yet within what is doubted by now: it counts.
  if (!saw?.value || !(saw.credible || sawIsCredible({ ...k, t: saw.stampRun }))) return null;
  // Ended by what makes things safe; leniently, only where clocks and truth agree that it came later.
  const ended =
    saw.trueMs < k.lastSafeTrue - 3 * S && saw.stampUtc < k.lastSafeUtc - 3 * S - k.seenBy.clock.boundMs;
  return ended ? null : saw.stampRun;
}

function realSunUp(k: Knows): boolean {
  return sunIsUp(k.seenBy.nowUtc, k.spot);
}

/** When totality is over for whoever makes things safe, before S3's and S4's offsets: by one call, or by none. */
function closesAt(k: Knows, calledAt: number | null): number {
  const byClock = Math.min(c3Clock(k) - settledS(k, calledAt) * S, returnedAt(k));
  // The eye's 5 s are part of what settles a doubt; without one the prediction is not in question.
  const eyeS = doubtOf(k).any ? 5 : 0;
  return calledAt === null ? byClock : Math.min(byClock, calledAt + (k.sky.lengthS - eyeS) * S);
}

/**
 * The same for a rig, leniently by the call that leaves most: the lead's or its operator's. A word
 * from before any doubt that S5 knows, the length at most, could let it in may count for nothing.
 */
function closesForRig(history: History, k: Knows, id: string): number {
  const saw = sawAt(history, k, id);
  const counts = saw !== null && saw >= c2Least(k) - (5 + k.sky.lengthS) * S;
  const calls = [k.calledAt, saw].filter((at) => at !== null);
  const all = k.calledAt !== null || counts ? calls : [...calls, null];
  return Math.max(...all.map((at) => closesAt(k, at)));
}

// ---------------------------------------------------------------- O2

/** Why "take the filter off" may not be said of this rig now; null where it may. `timed`: now, not to come. */
export function whyNotOff(record: History, k: Knows, rig: RigNature, timed: boolean): string | null {
  if (k.sky.kind !== "total") return "S2 no totality here";
  if (rig.never || !rig.filtered) return "S2 never on this rig";
  if (rig.looked && k.sky.lengthS < 40) return "S3 totality under 40 s";
  if (k.cover) return "S7 covered";
  if (k.practice && realSunUp(k) && !record.newest("practiceSafe", rig.id, k, false)?.value)
    return "S8 practice under the real Sun";
  if (record.filter(rig.id, k) === "unknown") return "S10 filter unknown";
  if (k.stay) return "S6 stay filtered was called";
  if (k.returnedAt !== null && k.returnedAt >= c2Least(k)) return "S6 Sun returns was called";
  if (record.newest("sky", rig.id, k, true)?.sky === "overcast") return "S11 overcast";
  if (!timed) return null;
  const saw = sawAt(record, k, rig.id);
  const seen = k.calledAt ?? saw;
  if (doubtOf(k).any && seen === null) return "S5 in doubt and not seen";
  const base = Math.min(c2Least(k), k.calledAt ?? Number.POSITIVE_INFINITY, saw ?? Number.POSITIVE_INFINITY);
  const from = base + (rig.looked ? 10 : -rig.earlyS) * S;
  // The hub dates a word of a clock that runs ahead by its own.
  if (k.t < from - TOLERANCE_MS - k.seenBy.clock.boundMs) return rig.looked ? "S3 too early" : "S4 too early";
  if (k.t > c3Most(k) - (rig.looked ? 40 : 20) * S + TOLERANCE_MS) return "S11 too late";
  return null;
}

/** Why "look up" may not be said now. */
export function whyNotLookUp(record: History, k: Knows, rig: RigNature, timed: boolean): string | null {
  if (k.sky.kind !== "total") return "S2 no totality here";
  if (k.practice) return "S13 practice";
  if (k.cover) return "S7 covered";
  if (k.stay) return "S6 stay filtered was called";
  if (k.returnedAt !== null && k.returnedAt >= c2Least(k)) return "S6 Sun returns was called";
  if (!timed) return null;
  const seen = k.calledAt ?? sawAt(record, k, rig.id);
  if (doubtOf(k).any && seen === null) return "S5 in doubt and not seen";
  if (k.t < Math.min(c2Least(k), seen ?? Number.POSITIVE_INFINITY) - TOLERANCE_MS)
    return "S13 before totality";
  if (k.t > closesForRig(record, k, rig.id) - 15 * S + TOLERANCE_MS) return "S13 after glasses on";
  return null;
}

const COUNT_IN_MS = 10 * S;

function checkWord(
  record: History,
  k: Knows,
  rig: RigNature,
  cue: ShownCue,
  as: string,
  timed: boolean,
  report: Report,
) {
  if (!cue.unfilters) return;
  // A headline to come may stand for its count-in.
  const ahead = timed && cue.dueMs > k.t ? Math.min(COUNT_IN_MS, cue.dueMs - k.t) : 0;
  const at = { ...k, t: k.t + ahead };
  const why =
    cue.unfilters === "filter-off" ? whyNotOff(record, at, rig, timed) : whyNotLookUp(record, at, rig, timed);
  if (why) report(`O2 ${cue.unfilters} as ${as}: ${why}`, `${cue.rigId}/${cue.cueId} ${cue.state}`);
}

export function checkWords(
  record: History,
  k: Knows,
  rigs: readonly RigNature[],
  shows: PhoneShows,
  report: Report,
): void {
  const of = (cue: ShownCue) => rigs.find(({ id }) => id === cue.rigId);
  const { instruction, upcoming, button } = shows;
  const rig = instruction && of(instruction);
  if (instruction && rig) {
    checkWord(record, k, rig, instruction, "headline", true, report);
    const exposed = k.t < Math.min(c2Least(k), k.calledAt ?? Number.POSITIVE_INFINITY) || k.t > c3Most(k);
    const sunUp = k.sky.kind !== "none" && sunIsUp(k.t, k.spot);
    if (instruction.ownWordsAlone && rig.filtered && ((exposed && sunUp) || whyNeverOff(k, rig)))
      report("O2 own words alone: S14", `${instruction.rigId}/${instruction.cueId}`);
  }
  if (button.kind === "confirm") {
    const owner = of(button.line);
    if (owner && button.line.unfilters === "filter-off")
      checkWord(record, k, owner, button.line, "button", true, report);
    if (!instruction || button.line.rigId !== instruction.rigId || button.line.cueId !== instruction.cueId)
      report(
        `O7 button of ${button.line.action} under another headline`,
        `${button.line.rigId}/${button.line.cueId} under ${instruction?.rigId}/${instruction?.cueId}`,
      );
  }
  for (const cue of upcoming) {
    const owner = of(cue);
    if (owner) checkWord(record, k, owner, cue, "upcoming", false, report);
  }
}

function whyNeverOff(k: Knows, rig: RigNature): boolean {
  return k.sky.kind !== "total" || rig.never || (rig.looked && k.sky.lengthS < 40);
}

/** The unfiltering word that stands as an order now, for O5. */
export function orderNow({ instruction, due }: PhoneShows): string[] {
  return due && instruction?.unfilters ? [`${instruction.rigId}/${instruction.unfilters}`] : [];
}

const SAFE_ACTIONS: readonly ShownCue["action"][] = ["filter-on", "eyes-away", "glasses-on", "cap"];
/** S5; "eyes down" is said with the burst before C3. */
const makesSafe = ({ action, cueId }: ShownCue): boolean =>
  SAFE_ACTIONS.includes(action) || cueId.startsWith("burst-after");

/**
 * That and what stands behind the headline: one page has one, and where a filter-off or a question
 * goes, another order that was due as well may come forward. Behind what makes safe nothing stands.
 */
export function ordersStanding(shows: PhoneShows): string[] {
  const { instruction, behind } = shows;
  if (!instruction || makesSafe(instruction)) return orderNow(shows);
  const there = behind.flatMap(({ rigId, unfilters }) => (unfilters ? [`${rigId}/${unfilters}`] : []));
  return [...orderNow(shows), ...there];
}

// ---------------------------------------------------------------- O1, O6, O8

const OPEN_STATES = ["ahead", "next", "now", "late"];

export function checkOpen(
  record: History,
  k: Knows,
  rig: RigNature,
  cues: CuesByRig,
  shows: PhoneShows | null,
  report: Report,
): void {
  if (!rig.filtered || record.filter(rig.id, k) !== "off") return;
  const who = shows ? "phone" : "hub";
  const list = cues[rig.id] ?? [];
  const { sky, t } = k;
  const end = sky.c4;
  if (end === null || t > end) return;
  const on = list.filter(({ action }) => action === "filter-on");
  const where = sky.kind === "total" ? "" : " where no filter comes off";
  const manner = whyNeverOff(k, rig) ? " on a rig whose filter never comes off" : "";
  if (!on.some(({ state }) => OPEN_STATES.includes(state)))
    report(
      `O1 open without filter-on at the ${who}${where || manner}: ${on.map(({ state }) => state).join() || "no such cue"}`,
      rig.id,
    );
  const away = list.filter(({ action }) => action === "eyes-away");
  if (rig.looked && sky.c3 !== null && t < sky.c3 - 21 * S && t < c3Most(k) - 21 * S)
    if (!away.some(({ state }) => OPEN_STATES.includes(state)))
      report(
        `O1 open without eyes-away at the ${who}${where || manner}: ${away.map(({ state }) => state).join() || "no such cue"}`,
        rig.id,
      );
  checkForward(record, k, rig, list, who, report);
  if (shows) checkHeadline(record, k, rig, shows, report);
}

function checkForward(
  record: History,
  k: Knows,
  rig: RigNature,
  list: CuesByRig[string],
  who: string,
  report: Report,
): void {
  if (k.sky.kind !== "total" || k.sky.c2 === null || whyNeverOff(k, rig)) return;
  const by = Math.max(
    closesForRig(record, k, rig.id) + (rig.looked ? -10 : 15) * S,
    Math.min(k.sky.c2, k.calledAt ?? k.sky.c2),
  );
  if (k.t < by + 2 * S) return;
  const on = list.filter(({ action }) => action === "filter-on");
  if (on.length > 0 && on.every(({ state }) => state === "ahead" || state === "next"))
    report(
      `O8 filter-on not forward by the doubt at the ${who}`,
      `${rig.id}, ${((k.t - by) / S).toFixed(0)} s late`,
    );
}

/** S1: outside its allowance by any reading, the page says filter on, whatever else. */
function checkHeadline(record: History, k: Knows, rig: RigNature, shows: PhoneShows, report: Report): void {
  const { sky, t } = k;
  const called = k.calledAt ?? sawAt(record, k, rig.id);
  let why: string | null = null;
  if (k.practice) {
    if (realSunUp(k) && !record.newest("practiceSafe", rig.id, k, false)?.value)
      why = "in practice under the real Sun";
    else return;
  } else if (!sunIsUp(t, k.spot)) return;
  else if (sky.kind !== "total" || sky.c2 === null) why = "where there is no totality";
  else if (rig.never) why = "on a rig whose filter never comes off";
  else {
    const shifted = sky.c2 + Math.min(0, shiftOf(k, "c2"));
    const from =
      Math.min(sky.c2, shifted, called ?? Number.POSITIVE_INFINITY) + (rig.looked ? 0 : -rig.earlyS) * S;
    const until = c3Most(k) + (rig.looked ? -10 : 15) * S;
    if (t < from - 2 * S) why = "before totality";
    else if (t > until + 2 * S) why = "after totality";
  }
  if (!why || k.cover) return;
  const { instruction } = shows;
  // One page has one headline: another rig of the phone that is as open may have it.
  if (instruction?.action === "filter-on" || instruction?.action === "eyes-away") return;
  report(
    `O6 open ${why}, headline is not filter-on`,
    `${rig.id} under ${instruction?.rigId}/${instruction?.cueId}`,
  );
}

// ---------------------------------------------------------------- O3, O9

export function whyBoardNotOff(k: Knows, alone: boolean): string | null {
  if (alone) return "without its hub";
  if (k.sky.kind !== "total") return "no totality here";
  if (k.practice) return "practice";
  if (k.cover) return "covered";
  if (k.stay) return "stay filtered was called";
  if (k.returnedAt !== null && k.returnedAt >= c2Least(k)) return "Sun returns was called";
  if (k.calledAt === null) return "no call of totality stands";
  if (k.t < k.calledAt - TOLERANCE_MS) return "before the call";
  if (k.t > closesAt(k, k.calledAt) - 15 * S + TOLERANCE_MS) return "glasses-on is due, by clock and doubt";
  return null;
}

export function whyNoCall(k: Knows): string | null {
  if (k.sky.kind !== "total") return "S2 no totality here";
  if (k.cover) return "S7 covered";
  // Leniently by the whole doubt, though S5 bounds it: a clock that is far off must not mute a true call.
  if (k.t < c2Least(k) - (5 + doubtOf(k).fullS) * S - TOLERANCE_MS) return "S6 too early";
  return null;
}

/** Whether "I see totality" can be true by the sayer's clock (S6): the same limit as the lead's. */
export function sawIsCredible(k: Knows): boolean {
  return k.sky.kind === "total" && k.t >= c2Least(k) - (5 + doubtOf(k).fullS) * S - TOLERANCE_MS;
}

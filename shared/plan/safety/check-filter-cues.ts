/**
 * Whether a rig's filter cues obey S1–S4 and S12: may the filter come off at all, within the
 * allowance, and is it sure to come on again in time? The whole window of a cue counts (its
 * earliest for coming off, its latest for going on), and every repeat of it.
 *
 * A cue is judged by its action, and by its key where the key says more ("cue.filter-off" stays
 * a filter-off cue whatever its action is called). A lead's own words cannot be judged.
 */
import { anchoredMs, cueDueMs, cueOccurrencesMs, hangsOnContacts } from "../cue-times.ts";
import type { LocalEclipse } from "../local-eclipse.ts";
import type { Cue } from "../model/cue.ts";
import type { Rig } from "../model/plan.ts";
import {
  type Allowance,
  filterAllowance,
  hasFilter,
  isLeftAlone,
  isLookedThrough,
  LOOKED_THROUGH_LEAST_S,
} from "./allowance.ts";
import { type Finding, finding, type Spot } from "./finding.ts";

/** Contacts carry fractions of a millisecond; a limit is broken from here on, ms. */
const SLACK_MS = 1;
/**
 * A name set under S4 excuses a limit passed by no more than this, ms: beyond it the photosphere
 * simply falls on the sensor for minutes (S1). Common practice, no source.
 */
const BEYOND_NAME_MS = 5 * 60_000;

export function isFilterOff(cue: Pick<Cue, "action" | "key">): boolean {
  return cue.action === "filter-off" || (cue.key?.startsWith("cue.filter-off") ?? false);
}

export function isFilterOn(cue: Pick<Cue, "action" | "key">): boolean {
  return cue.action === "filter-on" && !isFilterOff(cue);
}

interface Indexed {
  cue: Cue;
  index: number;
}

export function checkFilterCues(rig: Rig, rigIndex: number, gets: LocalEclipse): Finding[] {
  const spot = (at: string, indexed?: Indexed): Spot => ({
    rig,
    rigIndex,
    at,
    ...(indexed ? { cue: { id: indexed.cue.id, index: indexed.index } } : {}),
  });
  const all = rig.cues.map((cue, index): Indexed => ({ cue, index }));
  const offCues = all.filter(({ cue }) => isFilterOff(cue));
  const found = checkFilterItself(rig, spot);

  const never = neverReason(rig, gets);
  if (never !== null) {
    const saved = offCues.map((off) =>
      finding("S2", "filter-off-never", spot("action", off), { reason: never }),
    );
    return [...found, ...saved];
  }
  const offOn = offCues.filter(({ cue }) => cue.on);
  if (rig.kind === "projection" || isLeftAlone(rig))
    return [...found, ...offOn.map((off) => finding("S12", "filter-off-left-alone", spot("action", off)))];
  if (!hasFilter(rig))
    return [...found, ...offOn.map((off) => finding("plan", "no-filter-to-take-off", spot("action", off)))];

  const allowance = filterAllowance(rig, gets);
  if (allowance === null) {
    const data = { leastS: LOOKED_THROUGH_LEAST_S, totalityS: Math.round(gets.totalityS * 10) / 10 };
    return [...found, ...offOn.map((off) => finding("S3", "totality-too-short", spot("on", off), data))];
  }
  const limits = { rig, gets, allowance, spot, all };
  return [...found, ...offOn.flatMap((off) => checkOff(off, limits))];
}

/** S2, or null where a filter may come off for some rig. */
function neverReason(rig: Rig, gets: LocalEclipse): string | null {
  if (gets.kind !== "total") return gets.kind;
  if (rig.kind === "narrowband-telescope") return "narrowband";
  return rig.publicQueue ? "publicQueue" : null;
}

/** Optics that a person or a long lens points at the Sun have a filter (S2, S3, S4). */
function checkFilterItself(rig: Rig, spot: (at: string) => Spot): Finding[] {
  if (rig.filter !== "none by design" || rig.kind === "projection") return [];
  if (rig.kind === "narrowband-telescope" || rig.publicQueue)
    return [finding("S2", "no-filter-on-optics", spot("filter"))];
  if (isLookedThrough(rig)) return [finding("S3", "no-filter-on-optics", spot("filter"))];
  if (rig.kind === "wide-camera" || (rig.focalLengthMm !== null && rig.focalLengthMm <= 100)) return [];
  return [finding("S4", "no-filter-on-optics", spot("filter"))];
}

interface Limits {
  rig: Rig;
  gets: LocalEclipse;
  allowance: Allowance;
  spot: (at: string, indexed?: Indexed) => Spot;
  all: Indexed[];
}

function checkOff(off: Indexed, limits: Limits): Finding[] {
  const { gets, allowance, spot } = limits;
  const rule = allowance.eyeAwayBy === undefined ? "S4" : "S3";
  // Hung on anything but C2 it would not follow when C2 moves.
  if (off.cue.anchor !== "C2")
    return [finding(rule, "filter-off-anchor", spot("anchor", off), { anchor: off.cue.anchor }, "blocks")];

  // A repeat until a moment that nobody knows yet could lead anywhere.
  if (!hangsOnContacts(off.cue)) {
    const data = { limitS: allowance.eyeAwayBy?.offsetS ?? 0, offsetS: off.cue.offsetS };
    return [finding(rule, "filter-off-too-late", spot("repeat", off), data, "blocks")];
  }

  const times = gets.contacts;
  const fromMs = anchoredMs(times, "C2", allowance.offFrom.offsetS) ?? Number.POSITIVE_INFINITY;
  const untilMs = anchoredMs(times, "C3", allowance.eyeAwayBy?.offsetS ?? 0) ?? Number.NEGATIVE_INFINITY;
  const at = cueOccurrencesMs(off.cue, times);
  const firstMs = at[0] ?? Number.NEGATIVE_INFINITY;
  const lastMs = at.at(-1) ?? firstMs;
  const found: Finding[] = [];
  if (firstMs + off.cue.earliestS * 1000 < fromMs - SLACK_MS) {
    const field = firstMs < fromMs - SLACK_MS ? "offsetS" : "earliestS";
    const data = { limitS: allowance.offFrom.offsetS, offsetS: off.cue.offsetS };
    const severity = firstMs < fromMs - BEYOND_NAME_MS ? "blocks" : undefined;
    found.push(finding(rule, "filter-off-too-early", spot(field, off), data, severity));
  }
  if (lastMs + off.cue.latestS * 1000 > untilMs + SLACK_MS) {
    const field =
      firstMs > untilMs + SLACK_MS ? "offsetS" : lastMs > untilMs + SLACK_MS ? "repeat" : "latestS";
    const data = { limitS: allowance.eyeAwayBy?.offsetS ?? 0, offsetS: off.cue.offsetS };
    found.push(finding(rule, "filter-off-too-late", spot(field, off), data));
  }
  const back = checkBackOn(off, lastMs, rule, limits);
  // One word about the window is enough.
  const said = found.some((one) => one.code === "filter-off-too-late" && one.severity === "blocks");
  return [...found, ...back.filter((one) => !said || one.code !== "filter-off-too-late")];
}

/**
 * After the filter came off: eye away (S3) and filter on in time (S1, S3, S4), and not before the
 * last moment at which the filter may still come off, or it would be open with nothing ahead.
 */
function checkBackOn(off: Indexed, offMs: number, rule: "S3" | "S4", limits: Limits): Finding[] {
  const { allowance, spot, all } = limits;
  const windowEndMs = offMs + off.cue.latestS * 1000;
  const missing = (code: "filter-on-missing" | "eyes-away-missing", wanted: Wanted): Finding => {
    const switchedOff = all.find(wanted);
    const field =
      switchedOff === undefined ? spot("cues") : spot(switchedOff.cue.on ? "anchor" : "on", switchedOff);
    const of = code === "filter-on-missing" ? "S1" : "S3";
    return finding(of, code, field, { filterOff: off.cue.id });
  };
  const overtaken = (last: Answers["last"]): Finding => {
    const data = { limitS: last.cue.offsetS, offsetS: off.cue.offsetS };
    return finding(rule, "filter-off-too-late", spot("latestS", off), data, "blocks");
  };

  const found: Finding[] = [];
  const isOn: Wanted = ({ cue }) => isFilterOn(cue);
  const on = answersTo(offMs, allowance.onBy.offsetS, isOn, limits);
  if (on === null) found.push(missing("filter-on-missing", isOn));
  else {
    if (on.late !== null) {
      const data = { limitS: allowance.onBy.offsetS, offsetS: on.late.indexed.cue.offsetS };
      const limitMs = anchoredMs(limits.gets.contacts, "C3", allowance.onBy.offsetS) ?? 0;
      const severity = on.late.indexed.ms > limitMs + BEYOND_NAME_MS ? "blocks" : undefined;
      found.push(finding(rule, "filter-on-too-late", spot(on.late.field, on.late.indexed), data, severity));
    }
    if (on.last.ms < windowEndMs - SLACK_MS) found.push(overtaken(on.last));
  }
  if (allowance.eyeAwayBy === undefined) return found;

  const isAway: Wanted = ({ cue }) => cue.action === "eyes-away";
  const away = answersTo(offMs, allowance.eyeAwayBy.offsetS, isAway, limits);
  if (away === null) found.push(missing("eyes-away-missing", isAway));
  else if (away.late !== null) {
    const data = { limitS: allowance.eyeAwayBy.offsetS, offsetS: away.late.indexed.cue.offsetS };
    found.push(finding("S3", "eyes-away-too-late", spot(away.late.field, away.late.indexed), data));
  } else if (away.last.ms < windowEndMs - SLACK_MS && !found.some(isWindow)) found.push(overtaken(away.last));
  return found;
}

const isWindow = ({ code }: Finding) => code === "filter-off-too-late";

type Wanted = (indexed: Indexed) => boolean;

interface Answers {
  /** The last cue that answers: of those in time if any is, else of all. */
  last: Indexed & { ms: number };
  /** Null when one of them is over by the limit. */
  late: { indexed: Indexed & { ms: number }; field: "offsetS" | "latestS" } | null;
}

/** The cues of a kind, on and hung on C3, that come after the filter came off; null for none. */
function answersTo(offMs: number, limitS: number, wanted: Wanted, { gets, all }: Limits): Answers | null {
  const limitMs = anchoredMs(gets.contacts, "C3", limitS) ?? Number.NEGATIVE_INFINITY;
  const after = all
    .filter((indexed) => wanted(indexed) && indexed.cue.on && indexed.cue.anchor === "C3")
    .map((indexed) => ({
      ...indexed,
      ms: cueDueMs(indexed.cue, gets.contacts) ?? Number.NEGATIVE_INFINITY,
    }))
    .filter(({ ms }) => ms > offMs);
  const [first] = after;
  if (first === undefined) return null;
  const latest = (a: Answers["last"], b: Answers["last"]) => (b.ms > a.ms ? b : a);
  const inTime = after.filter(({ cue, ms }) => ms + cue.latestS * 1000 <= limitMs + SLACK_MS);
  if (inTime[0] !== undefined) return { last: inTime.reduce(latest), late: null };
  const field = first.ms > limitMs + SLACK_MS ? "offsetS" : "latestS";
  return { last: after.reduce(latest), late: { indexed: first, field } };
}

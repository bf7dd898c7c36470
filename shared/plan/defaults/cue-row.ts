/**
 * One line of a default cue list: the cue, how long it keeps its operator busy, and what becomes
 * of it where the Sun rises or sets during the eclipse. Windows, count-ins and hands-on times are
 * common practice, no source; a lead can change them.
 */
import type { Cue } from "../model/cue.ts";
import type { Anchor, CueAction } from "../model/vocabulary.ts";

export interface CueRow {
  cue: Cue;
  /** Seconds from its time on in which nothing else may be asked of this rig's operator. */
  busyS: number;
  /** It may only lie between C2 plus and C3 plus so many seconds; null for anywhere. */
  within: { c2S: number; c3S: number } | null;
  /** It is there only where the row of this id is not: words alone, which nothing has to make room for. */
  unless: string | null;
  sun: SunNeed;
}

/** What a cue needs of the Sun (under-the-sun.ts). */
export interface SunNeed {
  /**
   * How long before sunrise it may come, seconds: 0 for what needs the Sun, less than 0 for what
   * waits until it stands a little higher, infinity for what can be done in the dark.
   */
  leadS: number;
  /** How long after its time it still makes sense to begin it, when the Sun is late, seconds. */
  waitS: number;
  /** After sunset it is dropped, stays where it is, closes the day at sunset, or comes right after that. */
  set: "drop" | "keep" | "close" | "afterwards";
  /** What is done before sunrise in its place, where the Sun is too late for it. */
  dark: DarkVariant | null;
}

export interface DarkVariant {
  key: string;
  action: CueAction;
  /** At its own time, but not earlier before sunrise than this, seconds. */
  leadS: number;
  /** What then has to be done as soon as the Sun is up. */
  risen: CueRow | null;
}

/** What may differ from a plain cue: on, no confirm, window ±30 s, no count-in, hands free. */
interface RowOptions {
  /** Message key; "cue." plus the id when left out. */
  key?: string;
  confirm?: boolean;
  earliestS?: number;
  latestS?: number;
  countInS?: number;
  handsS?: number;
  /** Busy longer than hands are on the rig, as when looking up. */
  busyS?: number;
  repeat?: Cue["repeat"];
  within?: CueRow["within"];
  unless?: string;
  sun?: Partial<SunNeed>;
}

export function cueRow(
  id: string,
  anchor: Anchor,
  offsetS: number,
  action: CueAction,
  options: RowOptions = {},
): CueRow {
  const handsS = options.handsS ?? 0;
  const latestS = options.latestS ?? 30;
  return {
    cue: {
      id,
      key: options.key ?? `cue.${id}`,
      anchor,
      offsetS,
      action,
      say: null,
      on: true,
      confirm: options.confirm ?? false,
      earliestS: options.earliestS ?? -30,
      latestS,
      countInS: options.countInS ?? 0,
      handsS,
      repeat: options.repeat ?? null,
    },
    busyS: options.busyS ?? handsS,
    within: options.within ?? null,
    unless: options.unless ?? null,
    sun: {
      ...NEED_OF_ACTION[action],
      // A series may begin whenever the Sun comes; anything else within its own window.
      waitS: options.repeat ? Number.POSITIVE_INFINITY : latestS,
      dark: null,
      ...options.sun,
    },
  };
}

const DARK = Number.POSITIVE_INFINITY;
const NEEDS_SUN = { leadS: 0, set: "drop" } as const;
const SAFE = { leadS: DARK, set: "keep" } as const;

/**
 * Who needs the Sun, by action. Whatever makes things safe never does, nor do tape, card and
 * battery; framing a landscape wants some twilight. Aligning and focusing need it (what can be
 * done of them in the dark is said by a row's own variant), and so do warnings about the filter:
 * under a Sun that is down they would only teach people not to listen.
 */
const NEED_OF_ACTION: Record<CueAction, Pick<SunNeed, "leadS" | "set">> = {
  align: NEEDS_SUN,
  focus: NEEDS_SUN,
  recentre: NEEDS_SUN,
  exposure: NEEDS_SUN,
  burst: NEEDS_SUN,
  record: NEEDS_SUN,
  "hands-off": NEEDS_SUN,
  "look-up": NEEDS_SUN,
  "filter-off": NEEDS_SUN,
  "filter-check": NEEDS_SUN,
  guard: NEEDS_SUN,
  frame: { leadS: 2400, set: "drop" },
  tape: { leadS: DARK, set: "drop" },
  check: { leadS: DARK, set: "drop" },
  stop: { leadS: DARK, set: "close" },
  "filter-on": SAFE,
  "eyes-away": SAFE,
  "glasses-on": SAFE,
  cap: SAFE,
};

/** Again every five minutes until a contact plus an offset. */
export function everyFiveMinutesUntil(anchor: Anchor, offsetS: number): NonNullable<Cue["repeat"]> {
  return { everyS: 300, until: { anchor, offsetS } };
}

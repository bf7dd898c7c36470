/**
 * One line of a default cue list: the cue, and how long it keeps its operator busy. Windows,
 * count-ins and hands-on times are common practice, no source; a lead can change them.
 */
import type { Cue } from "./plan.ts";
import type { Anchor, CueAction } from "./vocabulary.ts";

export interface CueRow {
  cue: Cue;
  /** Seconds from its time on in which nothing else may be asked of this rig's operator. */
  busyS: number;
  /** It may only lie between C2 plus and C3 plus so many seconds; null for anywhere. */
  within: { c2S: number; c3S: number } | null;
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
}

export function cueRow(
  id: string,
  anchor: Anchor,
  offsetS: number,
  action: CueAction,
  options: RowOptions = {},
): CueRow {
  const handsS = options.handsS ?? 0;
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
      latestS: options.latestS ?? 30,
      countInS: options.countInS ?? 0,
      handsS,
      repeat: options.repeat ?? null,
    },
    busyS: options.busyS ?? handsS,
    within: options.within ?? null,
  };
}

/** Again every five minutes until a contact plus an offset. */
export function everyFiveMinutesUntil(anchor: Anchor, offsetS: number): NonNullable<Cue["repeat"]> {
  return { everyS: 300, until: { anchor, offsetS } };
}

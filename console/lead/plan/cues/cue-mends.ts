/**
 * What would mend what a rule finds at one cue: small changes to the list, each tried by the rules
 * themselves, so that none is offered that does not help or that breaks another rule. Pure.
 */
import { followed } from "../../../../shared/plan/edits/follow.ts";
import type { LocalEclipse } from "../../../../shared/plan/local-eclipse.ts";
import type { Cue } from "../../../../shared/plan/model/cue.ts";
import type { Rig } from "../../../../shared/plan/model/plan.ts";
import { checkRig } from "../../../../shared/plan/safety/check-rig.ts";
import { checkVariant } from "../../../../shared/plan/safety/check-variant.ts";
import type { Finding } from "../../../../shared/plan/safety/finding.ts";
import { makesSafeCue } from "../../../../shared/plan/safety/safe-cues.ts";
import { cuesAsInBase, type Sky } from "./cue-draft.ts";

export interface CueMend {
  kind: "window" | "move" | "asBase" | "leaveOut" | "restore" | "hands";
  /** The cue as it would be; absent where more than one changes. */
  cue?: Cue;
  /** Its words, where they are those of the hands' plan. */
  says?: string;
  cues: Cue[];
}

export interface MendAsked {
  /** As typed; its `cues` are those for a clear sky. */
  rig: Rig;
  sky: Sky;
  /** The list followed under that sky. */
  cues: readonly Cue[];
  /** What that list is compared with: usual, or clear. */
  base: readonly Cue[];
  gets: LocalEclipse;
}

/** More than two choices are none. */
const MENDS_MOST = 2;
/** A cue is moved by so much at most, seconds: what lies farther off was meant otherwise. */
const MOVE_MOST_S = 120;

/** @param code and cueId of what was found; empty where nothing small helps. */
export function mendsOf(code: string, cueId: string | undefined, asked: MendAsked): CueMend[] {
  const said = (found: Finding) => `${found.code} ${found.cueId ?? ""}`;
  const foundIn = (cues: readonly Cue[]) => findings(cues, asked).map(said);
  const before = new Set(foundIn(asked.cues));
  const wrong = `${code} ${cueId ?? ""}`;
  if (!before.has(wrong)) return [];
  const helps = ({ cues }: CueMend) => {
    const after = foundIn(cues);
    return !after.includes(wrong) && after.every((one) => before.has(one));
  };
  return candidates(cueId, asked).filter(helps).slice(0, MENDS_MOST);
}

function findings(cues: readonly Cue[], { rig, sky, gets }: MendAsked): Finding[] {
  const list = followed(cues);
  return sky === "clear" ? checkRig({ ...rig, cues: list }, 0, gets) : checkVariant(rig, 0, gets, sky, list);
}

/** The smallest change first. */
function candidates(cueId: string | undefined, asked: MendAsked): CueMend[] {
  const { cues, base } = asked;
  const cue = cues.find(({ id }) => id === cueId);
  const known = base.some(({ id }) => id === cueId);
  const mends: CueMend[] = [];
  const add = (kind: CueMend["kind"], changed: Cue | null) => {
    if (changed) mends.push({ kind, cue: changed, cues: withCue(cues, changed) });
  };
  if (cue) {
    add("window", narrowed(cue, asked));
    add("move", moved(cue, asked));
    if (known) mends.push({ kind: "asBase", cues: cuesAsInBase(base, cues, [cue.id]) });
    if (cue.on) add("leaveOut", { ...cue, on: false });
  } else if (cueId !== undefined && known)
    mends.push({ kind: "restore", cues: cuesAsInBase(base, cues, [cueId]) });
  // Where something that makes safe is missing: all that does as it was, and the filter-off with it.
  const safe = base.filter((one) => makesSafeCue(one) || one.action === "filter-off");
  const ids = safe.map(({ id }) => id);
  mends.push({ kind: "restore", cues: cuesAsInBase(base, cues, ids) });
  return mends;
}

function withCue(cues: readonly Cue[], changed: Cue): Cue[] {
  return cues.map((cue) => (cue.id === changed.id ? changed : cue));
}

/** Its time as it is, with the widest window of whole seconds at which nothing is found. */
function narrowed(cue: Cue, asked: MendAsked): Cue | null {
  const clean = (changed: Cue) => isClean(changed, asked);
  if (!clean({ ...cue, earliestS: 0, latestS: 0 })) return null;
  const earlyS = most(-cue.earliestS, (s) => clean({ ...cue, earliestS: -s, latestS: 0 }));
  const lateS = most(cue.latestS, (s) => clean({ ...cue, earliestS: -earlyS || 0, latestS: s }));
  return { ...cue, earliestS: -earlyS || 0, latestS: lateS };
}

/** The nearest time, in whole seconds, at which nothing is found. */
function moved(cue: Cue, asked: MendAsked): Cue | null {
  for (let byS = 1; byS <= MOVE_MOST_S; byS++)
    for (const offsetS of [cue.offsetS + byS, cue.offsetS - byS])
      if (isClean({ ...cue, offsetS }, asked)) return { ...cue, offsetS };
  return null;
}

function isClean(cue: Cue, asked: MendAsked): boolean {
  return !findings(withCue(asked.cues, cue), asked).some(({ cueId }) => cueId === cue.id);
}

/** The largest whole number up to `end` that is good; all below a good one are, and 0 is. */
function most(end: number, good: (n: number) => boolean): number {
  if (good(end)) return end;
  let [low, high] = [0, Math.ceil(end)];
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (good(middle)) low = middle;
    else high = middle;
  }
  return low;
}

/**
 * Which of the cues of one or several rigs is the instruction now, and what comes after it. What
 * is largest is true now: outside its count-in a coming cue is never the instruction; then there
 * is none, and the page says the state in force.
 *
 * Order: a filter that must go on where photosphere falls on open optics (S1), eyes first; any
 * filter-on that is due; eyes away; a filter-off or cap that is due and waits for its confirm,
 * whatever came due after it (R15); a count-in; what came due last; what is held back; the rest.
 */
import { isFilterAction } from "../../plan/model/vocabulary.ts";
import type { RunMs } from "../../time/instants.ts";
import { makesSafeCue } from "./cue-kinds.ts";
import type { CueStanding } from "./cue-states.ts";
import { type CueManner, isHeld, type OwnWords } from "./manner.ts";

export interface PutCue extends CueStanding {
  /** How it is put to a person now (manner.ts). */
  mode: CueManner;
  /** S14: whether the lead's own words are its headline. */
  ownWords: OwnWords;
  /** S1: it is there because photosphere falls on this rig's open optics. */
  exposed: boolean;
  /** It is that of optics that somebody looks through. */
  lookedThrough: boolean;
}

export interface Instructed<Line extends PutCue> {
  /** Null while nothing is due: the state in force is what is true then. */
  instruction: Line | null;
  /** Whether it is due, or still counted in. */
  due: boolean;
  /** The same of the other rigs at this moment: one sentence calls all of them. */
  together: Line[];
  /** What waits for its confirm behind the instruction. */
  waiting: Line[];
  /** What comes, by time. */
  coming: Line[];
}

/** `lines` by time. */
export function instructionOf<Line extends PutCue>(lines: readonly Line[], runNow: RunMs): Instructed<Line> {
  const open = lines.filter(isOpen);
  const passed = open.filter(({ state }) => state === "now" || state === "late");
  const coming = open.filter(({ state }) => state === "next" || state === "ahead");
  const due = dueNow(passed);
  const counted = coming.find((line) => isCountedIn(line, runNow));
  if (counted && (!due || givesWay(due, counted, runNow))) {
    const together = alike(
      counted,
      coming.filter((line) => isCountedIn(line, runNow)),
    );
    return {
      instruction: counted,
      due: false,
      together,
      waiting: passed.filter(waits),
      coming: coming.filter((line) => line !== counted && !together.includes(line)),
    };
  }
  const together = due ? alike(due, passed) : [];
  const waiting = passed.filter((line) => waits(line) && line !== due && !together.includes(line));
  return { instruction: due, due: due !== null, together, waiting, coming };
}

function waits(line: PutCue): boolean {
  return waitsForConfirm(line) && !isHeld(line.mode);
}

/** What says the same as the instruction, of other rigs. */
function alike<Line extends PutCue>(line: Line, among: readonly Line[]): Line[] {
  return among.filter(
    (other) =>
      other !== line &&
      other.cue.action === line.cue.action &&
      other.cue.key === line.cue.key &&
      other.mode === line.mode &&
      other.ownWords === line.ownWords &&
      other.cue.say === line.cue.say,
  );
}

export function isOpen(line: PutCue): boolean {
  // Held back for good: no filter comes off any more, so it is no instruction either.
  return (
    line.state !== "done" && line.state !== "skipped" && line.mode !== "never" && line.mode !== "covered"
  );
}

function dueNow<Line extends PutCue>(passed: readonly Line[]): Line | null {
  const on = passed.filter(({ cue }) => cue.action === "filter-on");
  const exposed = on.filter(({ exposed }) => exposed);
  const worst = exposed.find(({ lookedThrough }) => lookedThrough) ?? exposed[0] ?? on[0];
  if (worst) return worst;
  const away = passed.find(({ cue }) => cue.action === "eyes-away");
  if (away) return away;
  const waits = passed.find((line) => waitsForConfirm(line) && !isHeld(line.mode));
  if (waits) return waits;
  // What only waits for a word of the operator: what they see, or what the filter is.
  const asks = passed.find(
    ({ mode, cue }) => (mode === "by-eye" || mode === "filter-first") && isFilterAction(cue.action),
  );
  if (asks) return asks;
  const held = passed.find(({ mode, state }) => isHeld(mode) && state === "now");
  const newest = passed.findLast(({ state, mode }) => state === "now" && !isHeld(mode));
  return newest ?? held ?? passed.find(({ mode }) => isHeld(mode)) ?? passed.at(-1) ?? null;
}

function waitsForConfirm({ cue }: PutCue): boolean {
  return cue.confirm && (isFilterAction(cue.action) || cue.action === "cap");
}

/** In its count-in a cue is the instruction already; what must not be done now is not counted in. */
function isCountedIn({ cue, dueMs, mode }: PutCue, runNow: RunMs): boolean {
  return cue.countInS > 0 && !isHeld(mode) && runNow >= dueMs - cue.countInS * 1000 && runNow < dueMs;
}

/** Whether what is due gives way to what is counted in: its hands are free, or the other makes safe. */
function givesWay(due: PutCue, counted: PutCue, runNow: RunMs): boolean {
  if (due.cue.action === "filter-on" || due.cue.action === "eyes-away") return false;
  if (makesSafeCue(counted.cue)) return true;
  if (waitsForConfirm(due)) return false;
  return runNow > due.dueMs + Math.max(10, due.cue.handsS) * 1000 || isHeld(due.mode);
}

/** Whether the instruction may be confirmed: it is due, or counted in and its window is open. */
export function mayConfirm(line: PutCue, runNow: RunMs): boolean {
  return !isHeld(line.mode) && (runNow >= line.dueMs || runNow >= line.fromMs);
}

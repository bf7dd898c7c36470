/**
 * What the run screen shows at an instant: one instruction, the next two, what the big button
 * confirms, and whether everything else keeps quiet. Several rigs on one phone become one list
 * ordered by time. Pure; drawn by RunScreen, spoken by sound/.
 *
 * Order of what is shown: a filter cue that is late; else the cue that came due last; else the
 * next one. A cue without a confirm gives way to the next one when its hands-on time is over and
 * less than a minute is left.
 */

import { ownValue } from "../../../shared/plan/own-key.ts";
import { isFilterAction } from "../../../shared/plan/vocabulary.ts";
import type { WhatSiteGets } from "../../../shared/plan/what-site-gets.ts";
import type { CueView } from "../../../shared/run/cue-timeline.ts";
import { mayHaveSeen } from "../../../shared/run/doubt.ts";
import type { RigStatus, RunView } from "../../../shared/run/rig-status.ts";
import { type CueMode, cueMode, type ModeContext, totalityCalled } from "./cue-mode.ts";

/** One cue of one rig. `key` names it among all rigs of this phone. */
export interface CueLine extends CueView {
  key: string;
  rigId: string;
  rigName: string;
  mode: CueMode;
}

export interface RunPicture {
  /** Every cue of this phone's rigs, by time. */
  lines: CueLine[];
  instruction: CueLine | null;
  /** Whether the instruction is due, or still to come. */
  due: boolean;
  upcoming: CueLine[];
  confirm: CueLine | null;
  /** A cue is within a minute, or it is totality: nothing else is shown. */
  quiet: boolean;
  inTotality: boolean;
  /** Rigs whose operator should say what they see: filter cues that wait for the eye (S5). */
  askTotality: string[];
}

export interface PictureInput {
  view: RunView;
  rigIds: readonly string[];
  cover: boolean;
  gets: WhatSiteGets;
  /** Rigs whose link was replaced: this phone hears neither calls nor shifts for them. */
  revoked: readonly string[];
  /** Run time at which the operator of a rig said "I see totality". */
  sawAtRunMs: Readonly<Record<string, number>>;
}

/** Within this time of a cue nothing else is shown, ms. */
export const QUIET_BEFORE_MS = 60_000;
const QUIET_AFTER_MS = 15_000;

export function runPicture(input: PictureInput): RunPicture {
  const { view, cover } = input;
  const { runNow, contacts } = view;
  const context: ModeContext = {
    run: view.run,
    doubt: view.doubt,
    contacts,
    runNow,
    cover,
    gets: input.gets,
    revoked: input.revoked,
  };
  const statuses = input.rigIds.flatMap((id) => view.rigs.find((status) => status.rig.id === id) ?? []);
  const lines = statuses
    .flatMap((status) => status.cues.map((cue) => lineOf(cue, status, context, input)))
    .sort((a, b) => a.dueMs - b.dueMs);
  const inTotality =
    input.gets.kind === "total" &&
    contacts.c2 !== null &&
    contacts.c3 !== null &&
    runNow >= contacts.c2 &&
    runNow < contacts.c3;

  const open = lines.filter((line) => isOpen(line) && line.mode !== "covered");
  const passed = open.filter((line) => line.state === "now" || line.state === "late");
  const coming = open.filter((line) => line.state === "next" || line.state === "ahead");
  const instruction = chooseInstruction(passed, coming, runNow);
  const due = instruction !== null && passed.includes(instruction);
  return {
    lines,
    instruction,
    due,
    upcoming: coming.filter((line) => line !== instruction && line.mode !== "too-late").slice(0, 2),
    confirm: chooseConfirm(open, instruction, due, inTotality, runNow),
    quiet: inTotality || open.some((line) => isNear(line, runNow)),
    inTotality,
    askTotality: statuses.filter((status) => asksTotality(status, lines, input)).map(({ rig }) => rig.id),
  };
}

function lineOf(cue: CueView, status: RigStatus, context: ModeContext, input: PictureInput): CueLine {
  const { rig } = status;
  const line = { ...cue, key: `${rig.id}/${cue.id}`, rigId: rig.id, rigName: rig.name };
  const sawAt = ownValue(input.sawAtRunMs, rig.id);
  if (cue.cue.action === "filter-off" && sawAt !== undefined && status.sawTotality) {
    // The eye has the last word (S15): what was seen moves the cue, never later.
    const at = sawAt + Math.max(0, cue.cue.offsetS) * 1000;
    if (at < line.dueMs) {
      line.dueMs = at;
      line.fromMs = Math.min(line.fromMs, at);
      if ((line.state === "next" || line.state === "ahead") && context.runNow >= at) line.state = "now";
    }
  }
  return { ...line, mode: cueMode(cue, status, context) };
}

function isOpen(line: CueLine): boolean {
  if (line.state === "done" || line.state === "skipped") return false;
  // Held back for good: no filter comes off any more, so it is no instruction either.
  if (line.mode === "never") return false;
  return !(line.mode === "too-late" && line.state !== "next" && line.state !== "ahead");
}

export function isFilterCue(line: Pick<CueLine, "cue">): boolean {
  return isFilterAction(line.cue.action);
}

/** Whether a cue asks for a filter to come off but must not be obeyed now. */
export function isHeld(mode: CueMode): boolean {
  return mode !== "plain" && mode !== "touch";
}

function chooseInstruction(passed: CueLine[], coming: CueLine[], runNow: number): CueLine | null {
  const on = passed.filter((line) => line.cue.action === "filter-on");
  if (on[0]) return on[0];
  const late = passed.filter((line) => line.state === "late" && isFilterCue(line));
  const due = passed.filter((line) => line.state === "now");
  const newest = due.at(-1);
  const next = coming[0] ?? null;
  if (late[0] && !isHeld(late[0].mode)) return late[0];
  if (newest) {
    if (isFilterCue(newest)) return due.find((line) => line.cue.action === newest.cue.action) ?? newest;
    const handsOverMs = newest.dueMs + Math.max(10, newest.cue.handsS) * 1000;
    if (next && next.dueMs - runNow <= QUIET_BEFORE_MS && runNow > handsOverMs && !newest.cue.confirm)
      return next;
    return newest;
  }
  return late[0] ?? next ?? passed.at(-1) ?? null;
}

function chooseConfirm(
  open: CueLine[],
  instruction: CueLine | null,
  due: boolean,
  inTotality: boolean,
  runNow: number,
): CueLine | null {
  // Before it is due only what stands large above the button; a filter may always go on early.
  const askable = open.filter(
    (line) =>
      line.cue.confirm &&
      !isHeld(line.mode) &&
      (runNow >= line.dueMs ||
        (runNow >= line.fromMs && (line === instruction || line.cue.action === "filter-on"))),
  );
  const on = askable.find((line) => line.cue.action === "filter-on");
  if (on) return on;
  if (instruction && askable.includes(instruction)) return instruction;
  const oldest = askable.find(isFilterCue) ?? askable[0];
  if (oldest) return oldest;
  // Outside totality other cues may be marked done; nobody is asked to.
  return due && !inTotality && instruction && !isHeld(instruction.mode) ? instruction : null;
}

function isNear(line: CueLine, runNow: number): boolean {
  if (isFilterCue(line) && (line.state === "now" || line.state === "late")) return true;
  const left = line.dueMs - runNow;
  return left <= QUIET_BEFORE_MS && left > -QUIET_AFTER_MS;
}

function asksTotality(status: RigStatus, lines: CueLine[], input: PictureInput): boolean {
  const { view } = input;
  const { filterC2, filterC3 } = view.contacts;
  if (input.gets.kind !== "total" || filterC3 === null || view.runNow >= filterC3) return false;
  if (status.sawTotality || totalityCalled(view.run.calls)) return false;
  const waits = lines.some((line) => line.rigId === status.rig.id && line.mode === "by-eye" && isOpen(line));
  return waits && mayHaveSeen(filterC2, view.doubt, view.runNow);
}

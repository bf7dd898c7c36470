/**
 * What the run screen shows at an instant: one instruction, if a cue is near, the next two,
 * what the big button confirms, and whether everything else keeps quiet. Several rigs on one phone
 * become one list ordered by time. Pure; drawn by RunScreen, spoken by sound/. Which cue is the
 * instruction and how it is put is decided in shared/run/cues.
 */

import { isFilterAction } from "../../../shared/plan/model/vocabulary.ts";
import {
  type Instructed,
  instructionOf,
  isOpen,
  mayConfirm,
  type PutCue,
} from "../../../shared/run/cues/instruction.ts";
import { eyeBelievedFromMs } from "../../../shared/run/doubt.ts";
import { inTotality, isQuiet } from "../../../shared/run/views/quiet.ts";
import type { RigStatus } from "../../../shared/run/views/rig-status.ts";
import type { RunCommon } from "../../../shared/run/views/run-view.ts";
import type { RunMs } from "../../../shared/time/instants.ts";

/** One cue of one rig. `key` names it among all rigs of this phone. */
export interface CueLine extends PutCue {
  key: string;
  rigId: string;
  rigName: string;
}

export interface RunPicture {
  /** Every cue of this phone's rigs, by time. */
  lines: CueLine[];
  instruction: CueLine | null;
  /** Whether the instruction is due, or still counted in. */
  due: boolean;
  /** The same of other rigs of this phone at this moment: one sentence calls all of them. */
  together: CueLine[];
  /** S11, S6: the instruction's rig stays filtered, and the cue that would have opened it says why. */
  staysOn: CueLine | null;
  /** The next two: first what waits behind the instruction, then what comes. */
  upcoming: CueLine[];
  confirm: CueLine | null;
  /** A cue is within a minute, or it is totality: nothing else is shown. */
  quiet: boolean;
  /** Rigs whose operator should say what they see: cues that wait for the eye (S5). */
  askTotality: string[];
}

/** `statuses`: of this phone's rigs, in the order in which it lists them. */
export function runPicture(view: RunCommon, statuses: readonly RigStatus[]): RunPicture {
  const { runNow } = view;
  const lines = statuses
    .flatMap(({ rig, cues }) => cues.map((cue) => lineOf(cue, rig)))
    .sort((a, b) => a.dueMs - b.dueMs);
  const instructed = instructionOf(lines, runNow);
  const { instruction, due, together, waiting, coming } = instructed;
  return {
    lines,
    instruction,
    due,
    together,
    staysOn: instruction && staysOn(lines, instruction),
    upcoming: [...waiting, ...coming.filter(({ mode }) => mode !== "too-late")].slice(0, 2),
    confirm: confirmOf(instructed, inTotality(view), runNow),
    quiet: isQuiet(view, statuses),
    askTotality: statuses.filter((status) => asksTotality(status, view)).map(({ rig }) => rig.id),
  };
}

/** Field by field: made for every cue at every look, and a spread with more fields is ten times as slow. */
function lineOf(cue: PutCue, { id: rigId, name: rigName }: RigStatus["rig"]): CueLine {
  return {
    id: cue.id,
    cue: cue.cue,
    n: cue.n,
    dueMs: cue.dueMs,
    fromMs: cue.fromMs,
    toMs: cue.toMs,
    state: cue.state,
    lateS: cue.lateS,
    mode: cue.mode,
    ownWords: cue.ownWords,
    exposed: cue.exposed,
    lookedThrough: cue.lookedThrough,
    key: `${rigId}/${cue.id}`,
    rigId,
    rigName,
  };
}

const STAYS_ON: ReadonlySet<CueLine["mode"]> = new Set(["too-late", "overcast", "stay"] as const);

/** A filter-off that is due and held while something else is called: "Burst." is not to open a filter. */
function staysOn(lines: readonly CueLine[], { rigId, cue }: CueLine): CueLine | null {
  if (isFilterAction(cue.action)) return null;
  const held = ({ mode, state }: CueLine) => STAYS_ON.has(mode) && (state === "now" || state === "late");
  return lines.find((line) => line.rigId === rigId && isFilterCue(line) && held(line)) ?? null;
}

export function isFilterCue(line: Pick<CueLine, "cue">): boolean {
  return isFilterAction(line.cue.action);
}

/** S9: the button is always that of the instruction shown; a press meant for one cue confirms no other. */
function confirmOf(
  { instruction, due }: Instructed<CueLine>,
  totality: boolean,
  runNow: RunMs,
): CueLine | null {
  if (!instruction || !mayConfirm(instruction, runNow)) return null;
  // Outside totality other cues may be marked done; nobody is asked to.
  return instruction.cue.confirm || (due && !totality) ? instruction : null;
}

function asksTotality({ times, cues, exposed }: RigStatus, view: RunCommon): boolean {
  const { filterC3 } = view.contacts;
  if (view.gets.kind !== "total" || filterC3 === null || view.runNow >= filterC3) return false;
  if (times.seenMs !== null || exposed) return false;
  const believedFromMs = eyeBelievedFromMs(view.contacts, view.doubt);
  const waits = cues.some((cue) => cue.mode === "by-eye" && isFilterCue(cue) && isOpen(cue));
  return waits && believedFromMs !== null && view.runNow >= believedFromMs;
}

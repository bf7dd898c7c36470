/**
 * Takes a fact in (SPEC R4, R17). A well-formed fact from a known device is never refused for the
 * state: what would speak against it becomes a flag on it. What the words imply is filled in:
 * an operator who confirms "filter off" says that it is off, but in a practice run under the
 * real Sun a confirm is a touch and says nothing of the filter (S8).
 */
import { ownValue } from "../../fields/own-key.ts";
import type { Rig } from "../../plan/model/plan.ts";
import type { UtcMs } from "../../time/instants.ts";
import { isFilterOff } from "../cues/cue-kinds.ts";
import { knowsCue } from "../cues/cue-timeline.ts";
import { type LateFlag, REPORT_VERSION, type RigReported } from "../events.ts";
import type { EventDraft } from "../logged-event.ts";
import type { Fact } from "../orders/commands.ts";
import { practiceEndMs } from "../run-time.ts";
import { NO_RECORD, type RigRecord, type RunRecord, type SiteState } from "../state.ts";
import { variantOf } from "../variant-of.ts";
import type { Stamp } from "./registers.ts";
import type { Report } from "./report-schema.ts";
import { recordOf } from "./rig-record.ts";
import { isTouchOnly, realSunUp } from "./touch-only.ts";

interface FactContext {
  actor: string;
  commandId: string;
  deviceId: string;
  now: UtcMs;
  /** The sender's link was revoked after the fact was queued. */
  linkRevoked: boolean;
  /** At the hub: what one link can add to the state at most (R16). Pages make nothing up. */
  bounds?: FactBounds;
}

/** fact-bounds.ts; apart from here, so that pages do not carry it. */
export interface FactBounds {
  /** The report without what is beyond the bounds; adds to `flags` what was left out. */
  report(report: Report, rig: Rig | undefined, record: RigRecord, flags: LateFlag[]): Report;
  /** By whose name a word on the filter goes into the record. */
  stamp(word: Report["filter"], record: RigRecord, from: WordStamp): WordStamp;
}

export type WordStamp = Pick<Stamp, "deviceId" | "deviceSeq" | "observedUtcMs">;

export function decideFact(
  state: SiteState,
  fact: Fact,
  context: FactContext,
): EventDraft<"rigReported", RigReported> {
  const flags: LateFlag[] = [];
  const run = runOf(state, fact, flags);
  const rig = state.plan.rigs.find((item) => item.id === fact.rigId);
  if (!rig) flags.push("rig removed");
  if (context.linkRevoked) flags.push("link revoked");
  const record = ownValue(run.rigs, fact.rigId) ?? NO_RECORD;
  const { bounds, deviceId } = context;
  const report = bounds ? bounds.report(fact.report, rig, record, flags) : { ...fact.report };
  const cueId = report.cueDone ?? report.cueSkipped;
  const cue = rig && cueId ? knowsCue(rig, cueId, variantOf(run, rig.id)) : undefined;
  if (rig && cueId && !cue && !flags.includes("cue left out")) flags.push("cue unknown");
  if (rig && report.cueDone && report.filter === undefined && rig.filter !== "none by design") {
    // A plan that knows no such cue may be older or newer than the hand that took it off.
    const off = cue ? isFilterOff(cue) : /^filter-off\b/.test(report.cueDone);
    const safe = recordOf(state, run, rig.id).practiceSafe?.value ?? false;
    const touchOnly = isTouchOnly(run.kind, safe, realSunUp(state, fact.observedUtcMs as UtcMs));
    if (off && !touchOnly) report.filter = "off";
    else if (cue?.action === "filter-on" && !touchOnly) report.filter = "on";
  }
  // A clock that runs ahead must not make a word outlast those that come after it.
  const observedUtcMs = fact.observedUtcMs > context.now ? context.now : (fact.observedUtcMs as UtcMs);
  const sent: WordStamp = { deviceId, deviceSeq: fact.deviceSeq, observedUtcMs };
  const stamp = bounds ? bounds.stamp(report.filter, record, sent) : sent;
  if (stamp.deviceId !== deviceId) flags.push("device not told apart");
  return {
    runId: run.runId,
    type: "rigReported",
    v: REPORT_VERSION,
    actor: context.actor,
    commandId: context.commandId,
    boundMs: fact.boundMs,
    ...stamp,
    payload: { ...report, rigId: fact.rigId, flags },
  };
}

/** The run it names, else the one that was on when it happened. */
function runOf(
  state: SiteState,
  fact: Fact,
  flags: LateFlag[],
): Pick<RunRecord, "runId" | "kind" | "rigs"> & RunRecord {
  const real = state.runs[state.realRunId] as RunRecord;
  if (fact.runId) {
    const named = ownValue(state.runs, fact.runId);
    if (named) {
      if (named.endedUtcMs !== null) flags.push("run ended");
      return named;
    }
    flags.push(fact.runId.startsWith("practice-") ? "run ended" : "run unknown");
    return {
      ...real,
      runId: fact.runId,
      kind: fact.runId.startsWith("practice-") ? "practice" : "real",
      rigs: {},
    };
  }
  const { practice } = state;
  const at = fact.observedUtcMs;
  const on = Object.values(state.runs).find(({ runId, startedUtcMs, endedUtcMs }) => {
    const untilUtcMs = practice?.runId === runId ? practiceEndMs(state, practice) : endedUtcMs;
    return startedUtcMs !== null && at >= startedUtcMs && untilUtcMs !== null && at < untilUtcMs;
  });
  if (on?.endedUtcMs) flags.push("run ended");
  return on ?? real;
}

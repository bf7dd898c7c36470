/** What one rig looks like now, for rig pages, the array and GET /api/run alike. */
import { ownValue } from "../../fields/own-key.ts";
import { rigInVariant } from "../../plan/edits/variant-cues.ts";
import type { Rig } from "../../plan/model/plan.ts";
import { type Allowance, filterAllowance, isLookedThrough } from "../../plan/safety/allowance.ts";
import type { UtcMs } from "../../time/instants.ts";
import { cueStates, type KnownFilter } from "../cues/cue-states.ts";
import { cueTimeline } from "../cues/cue-timeline.ts";
import { instructionOf, type PutCue } from "../cues/instruction.ts";
import { cueManner, type MannerContext, ownWordsOf } from "../cues/manner.ts";
import { closeFromMs, sunUpFromMs } from "../cues/must-close.ts";
import { mayBeOff, type RigTimes, rigTimes } from "../cues/rig-times.ts";
import { stateNow } from "../facts/field-registers.ts";
import { filterOf, isSilent, standingVerdict } from "../facts/filter-knowledge.ts";
import type { FilterState, FilterVerdict } from "../facts/filter-state.ts";
import type { Register } from "../facts/registers.ts";
import type { StateNow } from "../facts/reported-fields.ts";
import { recordOf } from "../facts/rig-record.ts";
import { isTouchOnly } from "../facts/touch-only.ts";
import { runTime } from "../run-time.ts";
import type { RigRecord } from "../state.ts";
import { variantOf } from "../variant-of.ts";
import type { LinkedDevice, Presence } from "./presence.ts";
import type { SiteNow } from "./site-now.ts";

export interface RigStatus extends StateNow {
  rig: Rig;
  filter: FilterState;
  /** What was last said, where silence has made it unknown or devices disagree. */
  verdict: FilterVerdict;
  silent: boolean;
  /** Devices with a person before them. */
  linked: readonly LinkedDevice[];
  /** These, and programs that read instruments. */
  devices: readonly LinkedDevice[];
  /** What people said, and under `instruments` what those did: a state field is the newest of both. */
  record: RigRecord;
  /** Its link sends far more than any person does. */
  noisy: boolean;
  help: Register<boolean> | null;
  /** S7: when it was said to be capped, of a rig without a filter by design. */
  covered: Register<boolean> | null;
  /** What was seen for this rig, and from and until when its filter may be off. */
  times: RigTimes;
  /** When its filter may be off at all; null for never. */
  allowance: Allowance | null;
  /** S1: its filter is off outside its allowance while photosphere can reach it. */
  exposed: boolean;
  /** S8: really capped or pointed away for this practice run. */
  practiceSafe: boolean;
  /** S8: filter cues are touched only: practice under the real Sun. */
  touchOnly: boolean;
  armed: RigRecord["armed"] | null;
  checks: RigRecord["checks"];
  lastUtcMs: UtcMs | null;
  cues: PutCue[];
  /** The instruction of this rig alone, once it is due (cues/instruction.ts, SPEC R15). */
  cueNow: PutCue | null;
  cueNext: PutCue | null;
  /** Seconds late of the latest cue, 0 when none is. */
  latenessS: number;
}

/** Costs what this rig costs, however many the site has. */
export function rigStatus(site: SiteNow, planned: Rig, presence: Presence): RigStatus {
  const variant = variantOf(site.run, planned.id);
  const rig = rigInVariant(planned, variant);
  const devices = ownValue(presence.rigs, rig.id) ?? [];
  const linked = devices.filter(({ agent }) => !agent);
  const { state, run, contacts, doubt, gets, runNow, now, practice } = site;
  const record = recordOf(state, run, rig.id);
  const verdict = standingVerdict(state, run, rig.id, record, now);
  const silent = isSilent(record, linked.length > 0, now);
  const practiceSafe = record.practiceSafe?.value ?? false;
  const touchOnly = isTouchOnly(run.kind, practiceSafe, site.realSunUp);
  const times = rigTimes(run, record, contacts, doubt, practice);
  const allowance = filterAllowance(rig, gets);
  const filtered = rig.filter !== "none by design";
  const lookedThrough = isLookedThrough(rig);
  const filter: KnownFilter | null =
    !filtered && verdict.state !== "capped"
      ? null
      : { state: verdict.state, saidMs: verdict.word && runTime(practice, verdict.word.observedUtcMs) };
  // In a practice the real Sun counts, too (S8).
  const exposed =
    filtered &&
    verdict.state === "off" &&
    ((site.sunUp && !mayBeOff(allowance, times, runNow)) || (touchOnly && site.realSunUp));
  const timeline = cueTimeline(rig, contacts, times);
  const standing = cueStates(timeline, {
    marks: record.cues,
    markedAtMs: (mark) => runTime(practice, mark.observedUtcMs),
    runNow,
    contacts,
    times,
    filter,
    filtered,
    lookedThrough,
    touchOnly,
    sunUp: site.sunUp,
    closeFromMs: filtered ? closeFromMs(run, runNow, exposed, filter) : null,
    sunUpFromMs: () => sunUpFromMs(state.plan, runNow),
  });
  const context: MannerContext = {
    rig,
    allowance,
    run,
    practice,
    doubt,
    contacts,
    times,
    runNow,
    filter,
    // S11: the lead has said so of the whole sky.
    sky: variant === "overcast" ? variant : (record.sky?.value ?? null),
    touchOnly,
    cover: state.cover !== null || (site.own.cover ?? false),
    revoked: site.own.revoked?.includes(rig.id) ?? false,
  };
  const cues = standing.map((item): PutCue => {
    const { id, cue, n, dueMs, fromMs, toMs, state: cueState, lateS } = item;
    return {
      id,
      cue,
      n,
      dueMs,
      fromMs,
      toMs,
      state: cueState,
      lateS,
      mode: cueManner(item, context),
      ownWords: ownWordsOf(item, rig, context),
      exposed: exposed && cue.action === "filter-on",
      lookedThrough,
    };
  });
  const late = cues.filter((cue) => cue.state === "late");
  const { instruction, due } = instructionOf(cues, runNow);
  return {
    rig,
    filter: filterOf(rig, verdict, silent),
    verdict,
    silent,
    linked,
    devices,
    record,
    noisy: presence.noisy?.includes(rig.id) ?? false,
    ...stateNow(record),
    help: record.help ?? null,
    covered: record.covered ?? null,
    times,
    allowance,
    exposed,
    practiceSafe,
    touchOnly,
    armed: record.armed ?? null,
    checks: record.checks,
    lastUtcMs: record.lastUtcMs,
    cues,
    cueNow: due ? instruction : null,
    cueNext: cues.find((cue) => cue.state === "next" || cue.state === "ahead") ?? null,
    latenessS: Math.max(0, ...late.map((cue) => cue.lateS)),
  };
}

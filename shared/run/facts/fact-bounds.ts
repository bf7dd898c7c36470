/**
 * What one link can add to the state at most, however much it sends (SPEC R17). A fact is never
 * refused for it: what goes beyond is left out of the fact, and a flag says so.
 *
 * checks    only those that the check lists know
 * cues      those of the plan, each as often as cues come at most, RIG_OCCURRENCES_MOST marks in
 *           all; of others UNKNOWN_CUES_MOST (cues since taken out of the plan, ways back on
 *           that no list has)
 * devices   the words of DEVICES_MOST devices on a filter are told apart. Those of all others
 *           count as two more devices', one that says "off" and one that says the rest: so an "off"
 *           holds until somebody has looked, as it would have by itself (S9).
 *
 * Of a link that was replaced nothing counts that would unfilter: who holds it may be anybody (S5, S8, S9).
 *
 * What an instrument says is bounded, too: only what the table marks for instruments, so that no
 * instrument confirms a cue, has looked, or sees totality.
 */

import { ownValue } from "../../fields/own-key.ts";
import { OCCURRENCES_MOST, RIG_OCCURRENCES_MOST } from "../../plan/cue-times.ts";
import { SET_UP_CHECKS } from "../../plan/defaults/set-up-checks.ts";
import type { Rig } from "../../plan/model/plan.ts";
import { knowsCue } from "../cues/cue-timeline.ts";
import type { LateFlag } from "../events.ts";
import type { RigRecord } from "../state.ts";
import type { FactBounds, WordStamp } from "./decide-fact.ts";
import { ALSO_BY_INSTRUMENT, INSTRUMENT_FIELDS } from "./instrument-fields.ts";
import type { Report } from "./report-schema.ts";
import type { FieldName } from "./reported-fields.ts";

export const UNKNOWN_CUES_MOST = 40;
export const DEVICES_MOST = 30;

const CHECKS: ReadonlySet<string> = new Set(SET_UP_CHECKS);
const MARKS = ["cueDone", "cueSkipped", "cueReopened"] as const;

/** The report without what is beyond the bounds; adds to `flags` what was left out. */
function boundReport(report: Report, rig: Rig | undefined, record: RigRecord, flags: LateFlag[]): Report {
  const bounded = report.instrument ? ofInstrument(report, flags) : { ...report };
  if (flags.includes("link revoked")) {
    delete bounded.looked;
    if (bounded.sawTotality) delete bounded.sawTotality;
    if (bounded.practiceSafe) delete bounded.practiceSafe;
  }
  const { checks } = bounded;
  if (checks && Object.keys(checks).some((id) => !CHECKS.has(id))) {
    const known = Object.entries(checks).filter(([id]) => CHECKS.has(id));
    if (known.length > 0) bounded.checks = Object.fromEntries(known);
    else delete bounded.checks;
    flags.push("check unknown");
  }
  let left = false;
  for (const mark of MARKS) {
    const id = bounded[mark];
    if (id === undefined || mayMark(id, rig, record)) continue;
    delete bounded[mark];
    left = true;
  }
  if (left) flags.push("cue left out");
  return bounded;
}

/** Without what only people can say. */
function ofInstrument(report: Report, flags: LateFlag[]): Report {
  const bounded: Record<string, unknown> = {};
  for (const [field, value] of Object.entries(report))
    if (
      field === "instrument" ||
      Object.hasOwn(INSTRUMENT_FIELDS, field) ||
      ALSO_BY_INSTRUMENT.has(field as FieldName)
    )
      bounded[field] = value;
  if (Object.keys(bounded).length < Object.keys(report).length) flags.push("not for an instrument");
  return bounded as Report;
}

function mayMark(id: string, rig: Rig | undefined, record: RigRecord): boolean {
  if (ownValue(record.cues, id)) return true;
  const marked = Object.keys(record.cues);
  if (isOfPlan(id, rig)) return marked.length < RIG_OCCURRENCES_MOST + UNKNOWN_CUES_MOST;
  return marked.filter((other) => !isOfPlan(other, rig)).length < UNKNOWN_CUES_MOST;
}

/** "partial-before.3" is the third of a cue that repeats. */
function isOfPlan(id: string, rig: Rig | undefined): boolean {
  const cue = rig && knowsCue(rig, id);
  if (!cue) return false;
  if (cue.id === id) return true;
  const n = Number(id.slice(cue.id.length + 1));
  return cue.repeat !== null && n <= OCCURRENCES_MOST;
}

/** By whose name a word on the filter goes into the record. */
function wordStamp(word: Report["filter"], record: RigRecord, sent: WordStamp): WordStamp {
  const known = record.filter.byDevice;
  if (word === undefined || ownValue(known, sent.deviceId) || Object.keys(known).length < DEVICES_MOST)
    return sent;
  // Numbers of several devices say nothing of each other: the time does. No device can call itself
  // "" (HelloSchema): nobody takes that "off" back but by having looked.
  const { observedUtcMs } = sent;
  return { deviceId: word === "off" ? "" : "others", deviceSeq: Math.floor(observedUtcMs), observedUtcMs };
}

export const FACT_BOUNDS: FactBounds = { report: boundReport, stamp: wordStamp };

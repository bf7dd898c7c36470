/**
 * The array's line of time, with every rig's cues. It is many strokes, so it is drawn anew only when a
 * second has passed, a cue has changed or a contact has moved.
 */
import { memo } from "react";
import type { EffectiveContacts } from "../../../../shared/run/effective-contacts.ts";
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";
import { TimeLine } from "../../../parts/time-line.tsx";
import type { TimeLineCue } from "../../../parts/time-line-layout.ts";

interface LineProps {
  rigs: readonly RigStatus[];
  contacts: EffectiveContacts;
  runNowS: number;
}

/** Every moment at which any rig has a cue, without windows. */
export const SiteLine = memo(function SiteLine({ rigs, contacts, runNowS }: LineProps) {
  return <TimeLine contacts={contacts} runNow={runNowS * 1000} cues={everyMoment(rigs)} />;
}, unchanged);

/** One tick a moment; of several cues at a moment the longest hands-on time is drawn. */
function everyMoment(rigs: readonly RigStatus[]): TimeLineCue[] {
  const byMoment = new Map<number, TimeLineCue>();
  for (const { cues } of rigs)
    for (const { id, dueMs, cue } of cues) {
      const known = byMoment.get(dueMs);
      if (known && known.handsS >= cue.handsS) continue;
      byMoment.set(dueMs, { id: `${id}@${dueMs}`, dueMs, fromMs: dueMs, toMs: dueMs, handsS: cue.handsS });
    }
  return [...byMoment.values()];
}

function unchanged(before: LineProps, after: LineProps): boolean {
  return before.runNowS === after.runNowS && signature(before) === signature(after);
}

function signature({ rigs, contacts }: LineProps): string {
  const { c1, c2, c3, c4 } = contacts;
  return [c1, c2, c3, c4, ...rigs.map(cuesSigned)].join(" ");
}

/** Of each picture of a rig once: sixty rigs have thousands of cues. */
const signed = new WeakMap<RigStatus, string>();

function cuesSigned(status: RigStatus): string {
  const known = signed.get(status);
  if (known !== undefined) return known;
  const made = status.cues.map((cue) => `${cue.id}${cue.state}${cue.dueMs}`).join();
  signed.set(status, made);
  return made;
}

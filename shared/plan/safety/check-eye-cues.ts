/**
 * Rules about cues other than the filter's: S12 (projection and optics left alone are capped
 * around totality) and S13 (nobody is told to look up outside totality, and everyone who was is
 * called back, or has glasses on, 15 s before C3).
 */
import { anchoredMs, cueDueMs, cueOccurrencesMs, hangsOnContacts } from "../cue-times.ts";
import type { LocalEclipse } from "../local-eclipse.ts";
import type { Cue } from "../model/cue.ts";
import type { Rig } from "../model/plan.ts";
import { CAPPED_AROUND_S, EYES_DOWN_S, isLeftAlone } from "./allowance.ts";
import { type Finding, finding, type Spot } from "./finding.ts";

const SLACK_MS = 1;

/** Whether a cue sends eyes to the sky: by its action or by the words of its key. */
export function isLookUp(cue: Pick<Cue, "action" | "key">): boolean {
  return cue.action === "look-up" || (cue.key?.startsWith("cue.look-up") ?? false);
}

export function checkEyeCues(rig: Rig, rigIndex: number, gets: LocalEclipse): Finding[] {
  const spotOf = (at: string, index?: number): Spot => {
    const cue = index === undefined ? undefined : rig.cues[index];
    return {
      rig,
      rigIndex,
      at,
      ...(cue === undefined || index === undefined ? {} : { cue: { id: cue.id, index } }),
    };
  };
  return [...checkCapped(rig, gets, spotOf), ...checkLookUp(rig, gets, spotOf)];
}

type SpotOf = (at: string, index?: number) => Spot;

function checkCapped(rig: Rig, gets: LocalEclipse, spotOf: SpotOf): Finding[] {
  if (gets.kind !== "total" || (rig.kind !== "projection" && !isLeftAlone(rig))) return [];
  const times = gets.contacts;
  const byMs = anchoredMs(times, "C2", -CAPPED_AROUND_S) ?? Number.NEGATIVE_INFINITY;
  const againMs = anchoredMs(times, "C3", CAPPED_AROUND_S) ?? Number.POSITIVE_INFINITY;
  const found: Finding[] = [];

  const dueMs = (cue: Cue) => cueDueMs(cue, times) ?? Number.POSITIVE_INFINITY;
  const caps = rig.cues.map((cue, index) => ({ cue, index })).filter(({ cue }) => cue.action === "cap");
  const before = caps.filter(({ cue }) => cue.on && dueMs(cue) < againMs);
  const first = before[0];
  if (first === undefined) {
    const switchedOff = caps.find(({ cue }) => !cue.on);
    const spot = switchedOff === undefined ? spotOf("cues") : spotOf("on", switchedOff.index);
    found.push(finding("S12", "cap-missing", spot, { limitS: -CAPPED_AROUND_S }));
  } else if (!before.some(({ cue }) => dueMs(cue) + cue.latestS * 1000 <= byMs + SLACK_MS)) {
    const field = dueMs(first.cue) > byMs + SLACK_MS ? "offsetS" : "latestS";
    found.push(finding("S12", "cap-too-late", spotOf(field, first.index), { limitS: -CAPPED_AROUND_S }));
  }
  for (const [index, cue] of rig.cues.entries()) {
    if (!cue.on || !(cue.key?.startsWith("cue.projection-uncap") ?? false)) continue;
    const adrift = !hangsOnContacts(cue);
    if (!adrift && dueMs(cue) + cue.earliestS * 1000 >= againMs - SLACK_MS) continue;
    const field = adrift ? "anchor" : dueMs(cue) < againMs - SLACK_MS ? "offsetS" : "earliestS";
    found.push(finding("S12", "uncapped-too-early", spotOf(field, index), { limitS: CAPPED_AROUND_S }));
  }
  return found;
}

function checkLookUp(rig: Rig, gets: LocalEclipse, spotOf: SpotOf): Finding[] {
  if (gets.kind === "none") return [];
  const times = gets.contacts;
  const totality = gets.kind === "total" && times.c2 !== null && times.c3 !== null;
  const fromMs = totality ? (times.c2 ?? 0) : Number.POSITIVE_INFINITY;
  const untilMs = totality ? (anchoredMs(times, "C3", EYES_DOWN_S) ?? 0) : Number.NEGATIVE_INFINITY;
  const found: Finding[] = [];
  let lastLookUpMs = Number.NEGATIVE_INFINITY;
  let lastLookUp = -1;
  for (const [index, cue] of rig.cues.entries()) {
    if (!cue.on) continue;
    if (cue.action === "glasses-on" && totality) {
      const lastMs = (cueDueMs(cue, times) ?? Number.NEGATIVE_INFINITY) + cue.latestS * 1000;
      if (lastMs > untilMs + SLACK_MS && !comesEarlier(rig.cues, index, times, untilMs)) {
        const field = lastMs - cue.latestS * 1000 > untilMs + SLACK_MS ? "offsetS" : "latestS";
        found.push(finding("S13", "glasses-on-too-late", spotOf(field, index), { limitS: EYES_DOWN_S }));
      }
    }
    if (!isLookUp(cue)) continue;
    if (!hangsOnContacts(cue)) {
      const field = hangsOnContacts({ ...cue, repeat: null }) ? "repeat" : "anchor";
      const data = { limitS: EYES_DOWN_S, kind: gets.kind };
      found.push(finding("S13", "look-up-outside-totality", spotOf(field, index), data));
      continue;
    }
    const at = cueOccurrencesMs(cue, times);
    const outside = at.find((ms) => ms < fromMs - SLACK_MS || ms > untilMs + SLACK_MS);
    if (outside !== undefined) {
      const field = outside === at[0] ? (totality ? "offsetS" : "action") : "repeat";
      const data = { limitS: EYES_DOWN_S, kind: gets.kind };
      found.push(finding("S13", "look-up-outside-totality", spotOf(field, index), data));
    }
    const lastMs = at.at(-1);
    if (lastMs !== undefined && lastMs > lastLookUpMs) {
      lastLookUpMs = lastMs;
      lastLookUp = index;
    }
  }
  if (totality && lastLookUp !== -1 && found.length === 0) {
    const calledBack = rig.cues.some((cue) => {
      const dueMs = cueDueMs(cue, times);
      if (!cue.on || isLookUp(cue) || dueMs === null) return false;
      const calls = cue.action === "glasses-on" || cue.action === "eyes-away" || cue.handsS > 0;
      return calls && dueMs >= lastLookUpMs && dueMs <= untilMs + SLACK_MS;
    });
    if (!calledBack)
      found.push(finding("S13", "eyes-down-missing", spotOf("on", lastLookUp), { limitS: EYES_DOWN_S }));
  }
  return found;
}

/** Another glasses-on cue that is in time makes a late one a mere reminder. */
function comesEarlier(
  cues: readonly Cue[],
  index: number,
  times: LocalEclipse["contacts"],
  untilMs: number,
): boolean {
  return cues.some((cue, other) => {
    if (other === index || !cue.on || cue.action !== "glasses-on") return false;
    const dueMs = cueDueMs(cue, times);
    return dueMs !== null && dueMs + cue.latestS * 1000 <= untilMs + SLACK_MS;
  });
}

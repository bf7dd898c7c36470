/**
 * What a group should know of its frames at a glance: facts with numbers, no lectures. Pure; words are
 * put to them by whoever shows them.
 */

import { median } from "../../review/median.ts";
import type { Knowledge } from "../place/knowledge.ts";
import type { PlacedFrame } from "../place/place-frame.ts";

export interface InnerMoment {
  contact: "C2" | "C3";
  s: number;
}

export type Finding =
  | { kind: "filter-on"; rigId: string; frames: number }
  /** No frame for so long while a camera should have gone on: from and until are seconds from the nearer inner contact. */
  | { kind: "gap"; rigId: string; from: InnerMoment; until: InnerMoment; buffer: boolean }
  | {
      kind: "not-planned";
      rigId: string;
      cueId: string;
      what: "exposure" | "iso" | "f-number";
      wanted: number[];
      got: number;
      frames: number;
    }
  | { kind: "no-frames"; rigId: string }
  | { kind: "no-totality"; rigId: string }
  | { kind: "unplaced"; rigId: string; frames: number; why: "no time" | "no clock" };

/** Around the inner contacts beads and the ring's glint are what people came for. */
const NEAR_S = 10;
/** A pause this much longer than the usual one before it, and at least so long, is a gap. */
const PAUSE_TIMES = 4;
const PAUSE_S = 5;
/** Frames a second before a gap that point to a full buffer. Common practice, no source. */
const BURST_PER_S = 1.5;

/** `frames` of any rigs, in any order. */
export function findingsOf(known: Knowledge, frames: readonly PlacedFrame[]): Finding[] {
  const found: Finding[] = [];
  const byRig = new Map<string, PlacedFrame[]>();
  for (const frame of exposures(frames)) {
    const mine = byRig.get(frame.rigId) ?? [];
    mine.push(frame);
    byRig.set(frame.rigId, mine);
  }
  for (const rigId of known.rigs.keys()) {
    const mine = byRig.get(rigId);
    if (!mine) {
      if (frames.length > 0 && photographs(known, rigId)) found.push({ kind: "no-frames", rigId });
      continue;
    }
    found.push(...ofRig(known, rigId, mine));
  }
  return found;
}

/** A raw file and the JPEG of the same name are one exposure. */
function exposures(frames: readonly PlacedFrame[]): PlacedFrame[] {
  const seen = new Set<string>();
  return frames.filter(({ rigId, frame }) => {
    const key = `${rigId}/${frame.file.replace(/\.[^./]*$/, "").toLowerCase()}/${frame.stamp?.localMs}`;
    if (frame.stamp === null || !seen.has(key)) {
      seen.add(key);
      return true;
    }
    return false;
  });
}

function photographs(known: Knowledge, rigId: string): boolean {
  const actions = new Set(known.rigs.get(rigId)?.cues.map(({ cue }) => cue.action));
  return actions.has("exposure") || actions.has("burst") || actions.has("record");
}

function ofRig(known: Knowledge, rigId: string, frames: readonly PlacedFrame[]): Finding[] {
  const found: Finding[] = [];
  const covered = frames.filter(({ warnings }) => warnings.includes("filter on in totality")).length;
  if (covered > 0) found.push({ kind: "filter-on", rigId, frames: covered });
  found.push(...gaps(known, rigId, frames));
  found.push(...differences(rigId, frames));
  const { c2, c3 } = known.contacts.predicted;
  const total = frames.some(({ phase }) => phase?.phase === "totality" || phase?.phase === "ring");
  const spans = frames.some(({ frame, utcMs }) => {
    const end = (utcMs ?? 0) + (frame.durationS ?? 0) * 1000;
    return frame.kind === "video" && utcMs !== null && c2 !== null && c3 !== null && utcMs < c3 && end > c2;
  });
  const placed = frames.some(({ utcMs }) => utcMs !== null);
  if (placed && c2 !== null && !total && !spans) found.push({ kind: "no-totality", rigId });
  const timeless = frames.filter(({ frame }) => frame.stamp === null).length;
  if (timeless > 0) found.push({ kind: "unplaced", rigId, frames: timeless, why: "no time" });
  const clockless = frames.filter(({ frame, utcMs }) => frame.stamp !== null && utcMs === null).length;
  if (clockless > 0) found.push({ kind: "unplaced", rigId, frames: clockless, why: "no clock" });
  return found;
}

/**
 * Pauses around the inner contacts and in totality. Of a rig that takes stills its stills count: a video
 * beside them fills no gap of theirs.
 */
function gaps(known: Knowledge, rigId: string, frames: readonly PlacedFrame[]): Finding[] {
  const { c2, c3 } = known.contacts.predicted;
  if (c2 === null || c3 === null) return [];
  const [begin, end] = [c2 - NEAR_S * 1000, c3 + NEAR_S * 1000];
  const spans = frames
    .flatMap(({ utcMs, frame }) => {
      if (utcMs === null) return [];
      const from: number = known.runMsAt(utcMs);
      const lengthMs = ((frame.kind === "video" ? frame.durationS : frame.exposureS) ?? 0) * 1000;
      return [{ from, until: from + lengthMs, kind: frame.kind }];
    })
    .sort((a, b) => a.from - b.from);
  const stills = spans.filter(({ kind }) => kind === "image");
  const taken = stills.some(({ from }) => from > begin && from < end) ? stills : spans;
  const moment = (at: number): InnerMoment =>
    Math.abs(at - c2) <= Math.abs(at - c3)
      ? { contact: "C2", s: (at - c2) / 1000 }
      : { contact: "C3", s: (at - c3) / 1000 };
  const found: Finding[] = [];
  let until = Number.NEGATIVE_INFINITY;
  for (const [i, one] of taken.entries()) {
    // What of the pause lies where the camera was meant to go on.
    const missedS = (Math.min(one.from, end) - Math.max(until, begin)) / 1000;
    if (Number.isFinite(until) && missedS >= PAUSE_S) {
      const usualS = usualPauseS(taken.slice(Math.max(0, i - 9), i).map(({ from }) => from));
      if ((one.from - until) / 1000 > usualS * PAUSE_TIMES) {
        const buffer = usualS > 0 && 1 / usualS >= BURST_PER_S;
        found.push({ kind: "gap", rigId, from: moment(until), until: moment(one.from), buffer });
      }
    }
    until = Math.max(until, one.until);
  }
  return found;
}

/** From frame to frame; 0 where there was only one. */
function usualPauseS(atMs: readonly number[]): number {
  const steps = atMs.slice(1).map((at, n) => (at - (atMs[n] ?? at)) / 1000);
  return median(steps) ?? 0;
}

/** The same difference at the same cue is said once, with how many frames have it. */
function differences(rigId: string, frames: readonly PlacedFrame[]): Finding[] {
  const found = new Map<string, Extract<Finding, { kind: "not-planned" }>>();
  for (const { cueId, differences } of frames) {
    if (cueId === null) continue;
    for (const { what, wanted, got } of differences) {
      const key = JSON.stringify([cueId, what, got]);
      const before = found.get(key);
      if (before) before.frames++;
      else found.set(key, { kind: "not-planned", rigId, cueId, what, wanted, got, frames: 1 });
    }
  }
  return [...found.values()];
}

/**
 * What a group should know of its frames at a glance: facts with numbers, no lectures. Pure; words are
 * put to them by whoever shows them.
 */

import type { Knowledge } from "../place/knowledge.ts";
import type { PlacedFrame } from "../place/place-frame.ts";
import { middleOf } from "./middle.ts";

export type Finding =
  | { kind: "filter-on"; rigId: string; frames: number }
  /** No frame for so long while the run of a camera should go on; from and to in seconds of a contact. */
  | { kind: "gap"; rigId: string; contact: "C2" | "C3"; fromS: number; untilS: number; buffer: boolean }
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
  for (const frame of frames) {
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

/** Pauses that touch the seconds around C2 or C3, or totality itself. */
function gaps(known: Knowledge, rigId: string, frames: readonly PlacedFrame[]): Finding[] {
  const { c2, c3 } = known.contacts.predicted;
  if (c2 === null || c3 === null) return [];
  const taken = frames
    .flatMap(({ utcMs, frame }) => {
      if (utcMs === null) return [];
      const from = known.runMsAt(utcMs);
      const lengthMs = ((frame.kind === "video" ? frame.durationS : frame.exposureS) ?? 0) * 1000;
      return [{ from, until: from + lengthMs }];
    })
    .sort((a, b) => a.from - b.from);
  const found: Finding[] = [];
  let until = Number.NEGATIVE_INFINITY;
  for (const [i, one] of taken.entries()) {
    const pauseS = (one.from - until) / 1000;
    if (Number.isFinite(until) && pauseS >= PAUSE_S) {
      const before = taken.slice(Math.max(0, i - 9), i);
      const steps = before.slice(1).map((item, n) => (item.from - (before[n]?.from ?? item.from)) / 1000);
      const usualS = steps.length > 0 ? middleOf(steps) : 0;
      // Where the camera was meant to go on: in totality, or from ten seconds before C2 to ten after C3.
      const inside = until < c3 + NEAR_S * 1000 && one.from > c2 - NEAR_S * 1000;
      if (inside && pauseS > usualS * PAUSE_TIMES) {
        const contact = Math.abs(until - c2) <= Math.abs(one.from - c3) ? "C2" : "C3";
        const at = contact === "C2" ? c2 : c3;
        found.push({
          kind: "gap",
          rigId,
          contact,
          fromS: (until - at) / 1000,
          untilS: (one.from - at) / 1000,
          buffer: usualS > 0 && 1 / usualS >= BURST_PER_S,
        });
      }
    }
    until = Math.max(until, one.until);
  }
  return found;
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

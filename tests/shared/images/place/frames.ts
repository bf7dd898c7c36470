/** Frames of a planned site with a known camera clock, for tests of what is made of them. */
import type { Frame } from "../../../../shared/fields/image-frame.ts";
import { type Knowledge, KnowledgeFold } from "../../../../shared/images/place/knowledge.ts";
import { FramePlacer, type PlacedFrame } from "../../../../shared/images/place/place-frame.ts";
import type { SiteEvent } from "../../../../shared/run/events.ts";
import { SiteWorld } from "../../run/site-world.ts";

/** What the camera of "west" is ahead of UTC, ms: two hours of zone and 3.41 s. */
export const AHEAD_MS = 7_200_000 + 3410;
export const BOUND_S = 0.11;

export function worldWithClock(rest: Record<string, unknown> = {}): SiteWorld {
  const world = SiteWorld.planned(rest);
  const said = world.order(
    {
      type: "noteCameraClock",
      rigId: "west",
      camera: "Camera A",
      zoneMin: 120,
      basis: { how: "hand", offsetS: 3.41, boundS: BOUND_S, utcMs: world.predicted.c2 },
    },
    world.predicted.c4 + 3_600_000,
  );
  if ("refusal" in said) throw new Error(said.refusal.message);
  return world;
}

export function knowledgeOf(events: readonly SiteEvent[], runId: string | null = null): Knowledge {
  const fold = new KnowledgeFold(runId);
  for (const event of events) fold.take(event);
  const known = fold.knowledge();
  if (!known) throw new Error("no such run");
  return known;
}

export const NOTHING: Frame = {
  file: "a.jpg",
  kind: "image",
  stamp: null,
  exposureS: null,
  fNumber: null,
  iso: null,
  model: null,
  durationS: null,
};

/** A frame that a camera so far ahead of UTC stamped at this instant, to hundredths. */
export function stampedAt(utcMs: number, more: Partial<Frame> = {}, aheadMs = AHEAD_MS): Frame {
  const localMs = Math.floor((utcMs + aheadMs) / 10) * 10;
  return {
    ...NOTHING,
    stamp: { text: "", localMs, stepMs: 10, offsetMin: null, field: "DateTimeOriginal" },
    ...more,
  };
}

export function place(known: Knowledge, rigId: string, ...frames: Frame[]): PlacedFrame[] {
  const placer = new FramePlacer(known);
  const rig = known.rigs.get(rigId);
  if (!rig) throw new Error(`no rig ${rigId}`);
  return frames.map((frame) => placer.place(rig, frame));
}

/**
 * The frames of a run as they were noted: of each file of a rig the last word. A fold over logged events,
 * beside the one that places them (knowledge.ts).
 */
import type { Frame } from "../../fields/image-frame.ts";
import type { SiteEvent } from "../../run/events.ts";
import { type Knowledge, KnowledgeFold } from "./knowledge.ts";
import { FramePlacer, type PlacedFrame } from "./place-frame.ts";

export interface NotedFrame {
  rigId: string;
  camera: string | null;
  frame: Frame;
}

export class NotedFrames {
  private readonly byRig = new Map<string, Map<string, NotedFrame>>();
  private readonly knowledge: KnowledgeFold;

  constructor(private readonly runId: string) {
    this.knowledge = new KnowledgeFold(runId);
  }

  /** In order of seq, as KnowledgeFold asks for them. */
  take(event: SiteEvent): void {
    this.knowledge.take(event);
    if (event.type !== "imagesNoted" || event.runId !== this.runId) return;
    const { rigId, camera, replaces, frames } = event.payload;
    const mine = (replaces ? undefined : this.byRig.get(rigId)) ?? new Map<string, NotedFrame>();
    this.byRig.set(rigId, mine);
    for (const frame of frames) mine.set(frame.file, { rigId, camera, frame });
  }

  /** Null when there is no such run. */
  known(): Knowledge | null {
    return this.knowledge.knowledge();
  }

  /** One by one, so that other work can be done in between. Frames of rigs that are gone are left out. */
  *placed(known: Knowledge): Generator<PlacedFrame> {
    const placer = new FramePlacer(known);
    for (const [rigId, frames] of this.byRig) {
      const rig = known.rigs.get(rigId);
      if (rig) for (const { frame, camera } of frames.values()) yield placer.place(rig, frame, camera);
    }
  }
}

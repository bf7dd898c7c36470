/** One frame in its place: when, in which phase, what its rig had been told and what its filter was. */
import { sunAt } from "../../eclipse/sun.ts";
import type { Frame } from "../../fields/image-frame.ts";
import type { FilterState } from "../../run/facts/filter-state.ts";
import { utcMs } from "../../time/instants.ts";
import { type AgainstPlan, againstPlan } from "./against-plan.ts";
import { camerasOf, type FrameTime, frameTime, type KnownCamera, type TimeWarning } from "./camera-utc.ts";
import { filterAt, type Knowledge, type RigKnowledge } from "./knowledge.ts";
import { type PhaseAt, phaseAt } from "./phase.ts";

export const PLACE_WARNINGS = [
  "filter changed within the bound",
  "filter on in totality",
  "not as planned",
] as const;
export type PlaceWarning = TimeWarning | (typeof PLACE_WARNINGS)[number];

export interface PlacedFrame extends AgainstPlan {
  rigId: string;
  frame: Frame;
  camera: string | null;
  /** Null where nothing leads from its stamp to UTC. */
  utcMs: number | null;
  /** Null where it is not known how good that is. */
  boundMs: number | null;
  /** Null without UTC. */
  phase: PhaseAt | null;
  sun: { altitudeDeg: number; azimuthDeg: number } | null;
  /** As it had been reported; null without UTC. */
  filter: FilterState | null;
  warnings: PlaceWarning[];
}

export class FramePlacer {
  private readonly cameras = new Map<string, KnownCamera[]>();
  private readonly middleMs: number | null;

  constructor(private readonly known: Knowledge) {
    this.middleMs = known.contacts.predicted.max;
  }

  /** @param cameraName which of the rig's cameras, where that is known. */
  place(rig: RigKnowledge, frame: Frame, cameraName: string | null = null): PlacedFrame {
    const { id: rigId } = rig.rig;
    const { state, contacts } = this.known;
    let cameras = this.cameras.get(rigId);
    if (!cameras) {
      cameras = camerasOf(state.cameraClocks, rigId);
      this.cameras.set(rigId, cameras);
    }
    const time = frameTime(frame, cameras, this.middleMs, cameraName);
    if (time.utcMs === null) return this.nowhere(rigId, frame, time);
    const runMs = this.known.runMsAt(time.utcMs);
    const phase = phaseAt(state.circumstances, contacts, runMs, time.boundMs);
    const filter = filterAt(rig.filters, time.utcMs, time.boundMs ?? 0);
    const plan = againstPlan(rig.cues, frame, runMs);
    const { site } = state.plan;
    const sun = site && sunAt(utcMs(runMs), site);
    const warnings: PlaceWarning[] = [...time.warnings];
    if (!filter.sure) warnings.push("filter changed within the bound");
    if (phase.phase === "totality" && (filter.state === "on" || filter.state === "capped") && filter.sure)
      warnings.push("filter on in totality");
    if (plan.differences.length > 0) warnings.push("not as planned");
    return {
      rigId,
      frame,
      ...time,
      phase,
      sun: sun && { altitudeDeg: sun.altitudeDeg, azimuthDeg: sun.azimuthDeg },
      filter: filter.state,
      ...plan,
      warnings,
    };
  }

  private nowhere(rigId: string, frame: Frame, time: FrameTime): PlacedFrame {
    return { rigId, frame, ...time, phase: null, sun: null, filter: null, cueId: null, differences: [] };
  }
}

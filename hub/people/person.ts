/** How a simulated operator is: quick or slow, forgetful, unlucky with a card, a battery, a mount, a network. */
import type { Anchor } from "../../shared/plan/model/vocabulary.ts";
import type { Report } from "../../shared/run/facts/report-schema.ts";

export interface Person {
  rigId: string;
  /** What their device calls itself. */
  device: string;
  /** From a cue's time to the hands moving, seconds of run time: least and most. */
  reactionS: readonly [number, number];
  /** Null for a rig without a camera. */
  card: { startGB: number; perShotGB: number; perMinuteGB: number } | null;
  battery: { startPct: number; perMinutePct: number };
  /** A cue they forget, and how long after its time somebody reminds them, seconds. */
  forgets?: { cueId: string; remindedAfterS: number };
  /** What happens to them. */
  moments: readonly Moment[];
  /** Says that their optics are capped or point away, so that filters really come off (S8); yes unless told. */
  vouches?: boolean;
  /** Out of reach of the network from C2 plus to C2 plus so many seconds. */
  outOfReach?: readonly [number, number];
}

export interface Moment {
  anchor: Anchor;
  offsetS: number;
  report: Report;
}

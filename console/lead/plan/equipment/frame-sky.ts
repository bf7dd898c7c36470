/**
 * What a camera has in its frame besides the Sun, and how the frame stands: in radii of the Sun from
 * its middle, ready to be drawn. Pure.
 */
import { inFrameFor, type Pointing, seenSun } from "../../../../shared/budget/fixed-pointing.ts";
import { type Mount, northInFrameDeg } from "../../../../shared/budget/frame-turn.ts";
import { discMm, type Sensor, type Tracking } from "../../../../shared/budget/framing.ts";
import { aroundInFrame } from "../../../../shared/budget/sky-frame.ts";
import type { Site } from "../../../../shared/plan/model/plan.ts";
import type { SkyAtMaximum, SkyBody } from "./use-sky.ts";

export interface DrawnBody extends Pick<SkyBody, "name" | "kind" | "magnitude"> {
  /** Radii of the Sun from the middle, right and down positive as SVG has it. */
  x: number;
  y: number;
}

export interface FrameSky {
  /** Where the sky's north stands, degrees counter-clockwise from the frame's top. */
  northDeg: number;
  /** Whether the frame stands level: the zenith is on top. */
  level: boolean;
  /** In the frame, the brightest first. */
  bodies: DrawnBody[];
}

export interface DrawnCamera {
  focalLengthMm: number;
  sensor: Sensor;
  /** Null counts as a level tripod. */
  mount: Mount | null;
}

export function frameSky(sky: SkyAtMaximum, { focalLengthMm, sensor, mount }: DrawnCamera): FrameSky {
  const northDeg = northInFrameDeg(mount ?? "tripod", sky.zenithAngleDeg);
  const radiusMm = discMm(focalLengthMm, sky.radiusArcsec) / 2;
  const bodies = sky.bodies.flatMap((body): DrawnBody[] => {
    const at = aroundInFrame(body, focalLengthMm, northDeg);
    if (!at || Math.abs(at.xMm) > sensor.widthMm / 2 || Math.abs(at.yMm) > sensor.heightMm / 2) return [];
    const { name, kind, magnitude } = body;
    return [{ name, kind, magnitude, x: at.xMm / radiusMm, y: -at.yMm / radiusMm }];
  });
  return { northDeg, level: mount !== "equatorial", bodies };
}

export interface FixedStand {
  pointing: Pointing;
  /** From when until when the whole Sun is in the frame; null where it is not even at maximum. */
  from: number | null;
  until: number | null;
}

/** A camera that stands still, pointed so that the Sun is in the middle at maximum; null for one that follows. */
export function fixedStand(
  sky: SkyAtMaximum,
  { focalLengthMm, sensor, mount }: DrawnCamera,
  tracking: Tracking | null,
  site: Pick<Site, "latDeg" | "lonDeg" | "heightM">,
): FixedStand | null {
  if (mount === "equatorial" || (tracking ?? "none") !== "none") return null;
  const pointing = seenSun(sky.maxUtcMs, site);
  const { widthMm, heightMm } = sensor;
  const radiusMm = discMm(focalLengthMm, sky.radiusArcsec) / 2;
  const held = inFrameFor({ focalLengthMm, widthMm, heightMm }, pointing, site, sky.maxUtcMs, radiusMm);
  return { pointing, from: held?.fromUtcMs ?? null, until: held?.untilUtcMs ?? null };
}

/**
 * The Sun on the sensor, to scale: the frame, the Sun in its middle, circles of the corona, and how far
 * the Sun drifts in a minute, drawn along the long side. Lengths are in radii of the Sun.
 */
import type { Sensor } from "../../../../shared/budget/framing.ts";
import type { Framing } from "../../../../shared/plan/budgets/rig-budget.ts";
import { t } from "../../../words/words.ts";

const CORONA_RADII = [2, 4, 8];
/** Drawn for the eye: an hour would leave every frame. */
const DRIFT_S = 60;

export function FramingPicture({ framing, sensor }: { framing: Framing; sensor: Sensor }) {
  const perMm = 2 / framing.sunMm;
  const [width, height] = [sensor.widthMm * perMm, sensor.heightMm * perMm];
  const [across, up] = [Math.max(width, 2.2) * 1.06, Math.max(height, 2.2) * 1.06];
  const drift = ((framing.driftPxPerS ?? 0) * DRIFT_S * 2) / (framing.sunPx ?? 1);
  const circles = CORONA_RADII.filter((radius) => radius < Math.max(width, height) / 2);
  const line = across / 300;
  return (
    <svg
      className="framing-picture"
      viewBox={`${-across / 2} ${-up / 2} ${across} ${up}`}
      role="img"
      aria-label={t("gives.picture", { radii: (framing.radiiThatFit ?? 0).toFixed(1) })}
    >
      <clipPath id="framing-frame">
        <rect x={-width / 2} y={-height / 2} width={width} height={height} />
      </clipPath>
      <rect className="framing-picture__sky" x={-width / 2} y={-height / 2} width={width} height={height} />
      <g clipPath="url(#framing-frame)">
        {circles.map((radius) => (
          <circle key={radius} className="framing-picture__corona" r={radius} strokeWidth={line} />
        ))}
        <circle className="framing-picture__sun" r={1} />
        {drift > 0.02 && (
          <line className="framing-picture__drift" x1={0} x2={drift} y1={0} y2={0} strokeWidth={2 * line} />
        )}
      </g>
      <rect
        className="framing-picture__frame"
        x={-width / 2}
        y={-height / 2}
        width={width}
        height={height}
        strokeWidth={2 * line}
      />
    </svg>
  );
}

/**
 * The Sun on the sensor, to scale: the frame, the Sun in its middle, circles of the corona, planets
 * and bright stars, where the sky's north is, and how far the Sun drifts in a minute. Lengths are in
 * radii of the Sun.
 */
import type { Sensor } from "../../../../shared/budget/framing.ts";
import type { Framing } from "../../../../shared/plan/budgets/rig-budget.ts";
import { t } from "../../../words/words.ts";
import { labelPlaces } from "../site/pictures/label-places.ts";
import { bodyName } from "./body-name.ts";
import type { FrameSky } from "./frame-sky.ts";

const CORONA_RADII = [2, 4, 8];
/** Drawn for the eye: an hour would leave every frame. */
const DRIFT_S = 60;
/** So many are named in the picture; all of them are beneath it. */
const NAMED_MOST = 5;
/** A letter's width and the size of the type, in 300ths of the picture's width. */
const LETTER = 7.4;
const TYPE = 13;

interface FramingPictureProps {
  framing: Framing;
  sensor: Sensor;
  /** Null until it is known what stands around the Sun. */
  sky: FrameSky | null;
}

export function FramingPicture({ framing, sensor, sky }: FramingPictureProps) {
  const perMm = 2 / framing.sunMm;
  const [width, height] = [sensor.widthMm * perMm, sensor.heightMm * perMm];
  const [across, up] = [Math.max(width, 2.2) * 1.06, Math.max(height, 2.2) * 1.06];
  const drift = ((framing.driftPxPerS ?? 0) * DRIFT_S * 2) / (framing.sunPx ?? 1);
  const circles = CORONA_RADII.filter((radius) => radius < Math.max(width, height) / 2);
  const line = across / 300;
  // The sky turns from east to west: against the angle at which east stands.
  const west = ((sky ? sky.northDeg : 0) - 90) * (Math.PI / 180);
  const named = (sky?.bodies ?? []).slice(0, NAMED_MOST);
  const names = named.map(({ name }) => bodyName(name));
  const places = labelPlaces(named, [{ x: 0, y: 0 }, ...(sky?.bodies ?? [])], {
    width: Math.max(1, ...names.map((name) => name.length)) * LETTER * line,
    height: TYPE * line,
    clearance: 7 * line,
    left: -width / 2,
    right: width / 2,
    top: -height / 2,
    bottom: height / 2,
  });
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
        <circle className="framing-picture__sun" r={Math.max(1, line * 2)} />
        {drift > 0.02 && (
          <line
            className="framing-picture__drift"
            x1={0}
            y1={0}
            x2={-drift * Math.sin(west)}
            y2={-drift * Math.cos(west)}
            strokeWidth={2 * line}
          />
        )}
        {sky?.bodies.map((body) => (
          <g key={body.name} data-body={body.name}>
            <circle
              className="framing-picture__body"
              cx={body.x}
              cy={body.y}
              r={line * Math.max(1, 4 - body.magnitude * 0.6)}
            />
          </g>
        ))}
        {places.map(({ x, y, anchor }, index) => (
          <text
            key={names[index]}
            className="framing-picture__name"
            x={x}
            y={y}
            textAnchor={anchor}
            fontSize={line * TYPE}
          >
            {names[index]}
          </text>
        ))}
      </g>
      {sky && <North northDeg={sky.northDeg} width={width} height={height} line={line} />}
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

/** A short line at the edge of the frame, where the sky's north is from the Sun. */
function North(props: { northDeg: number; width: number; height: number; line: number }) {
  const { northDeg, width, height, line } = props;
  const angle = (northDeg * Math.PI) / 180;
  const [dx, dy] = [-Math.sin(angle), -Math.cos(angle)];
  const far = Math.min(
    Math.abs(dx) < 1e-9 ? Number.POSITIVE_INFINITY : width / 2 / Math.abs(dx),
    Math.abs(dy) < 1e-9 ? Number.POSITIVE_INFINITY : height / 2 / Math.abs(dy),
  );
  const at = (share: number) => ({ x: dx * (far - share * line), y: dy * (far - share * line) });
  const [edge, inner, letter] = [at(0), at(12), at(24)];
  return (
    <g data-north={Math.round(northDeg)}>
      <line
        className="framing-picture__north"
        x1={edge.x}
        y1={edge.y}
        x2={inner.x}
        y2={inner.y}
        strokeWidth={2.5 * line}
      />
      <text
        className="framing-picture__name"
        x={letter.x}
        y={letter.y + line * 4.5}
        textAnchor="middle"
        fontSize={line * TYPE}
        fontWeight={700}
      >
        {t("frame.north")}
      </text>
    </g>
  );
}

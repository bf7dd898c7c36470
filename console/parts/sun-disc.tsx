/**
 * The Sun as it stands in the sky now, zenith up, with the Moon where it is (moon-position.ts).
 * In totality the Moon is dark and the corona a soft ring; the ring is a sign, not a picture.
 */
import "../words/bundles/pieces.ts";
import { useId } from "react";
import { useWords } from "../words/words.ts";
import "./sun-disc.css";

interface SunDiscProps {
  /** The Moon against the Sun; null when it does not touch the Sun. */
  moon: {
    /** Between the centres, in solar radii. */
    separation: number;
    /** From the zenith through east, degrees. */
    angleFromZenithDeg: number;
    /** Diameter over the Sun's. */
    ratio: number;
  } | null;
  /** Draw the corona: totality, seen or predicted. */
  totality?: boolean;
  /** The Sun is below the horizon: drawn as an outline only. */
  belowHorizon?: boolean;
  /** What it shows, for those who do not see it. */
  label: string;
}

const RAD = Math.PI / 180;

export function SunDisc({ moon, totality = false, belowHorizon = false, label }: SunDiscProps) {
  const { t } = useWords();
  const id = useId();
  const place = moon && {
    // East is to the left when north is up.
    cx: -moon.separation * Math.sin(moon.angleFromZenithDeg * RAD),
    cy: -moon.separation * Math.cos(moon.angleFromZenithDeg * RAD),
  };
  const hidden = moon !== null && moon.separation <= moon.ratio - 1;
  return (
    <figure className="sun-disc" data-totality={totality} data-below={belowHorizon}>
      <svg viewBox="-1.25 -1.5 2.5 2.75" role="img" aria-label={label}>
        <defs>
          <clipPath id={`${id}-sun`}>
            <circle r="1" />
          </clipPath>
          <radialGradient id={`${id}-corona`} gradientUnits="userSpaceOnUse" cx="0" cy="0" r="1.7">
            <stop offset="0.58" stopColor="var(--corona)" stopOpacity="0.95" />
            <stop offset="0.68" stopColor="var(--corona)" stopOpacity="0.45" />
            <stop offset="0.82" stopColor="var(--corona)" stopOpacity="0.14" />
            <stop offset="1" stopColor="var(--corona)" stopOpacity="0" />
          </radialGradient>
        </defs>
        <line data-up="stroke" className="sun-disc-up" x1="0" x2="0" y1="-1.46" y2="-1.2" />
        <text data-up="word" className="sun-disc-up-word" x="0.09" y="-1.29">
          {t("sun.up")}
        </text>
        {totality ? <circle r="1.7" fill={`url(#${id}-corona)`} /> : null}
        {totality ? null : <circle className="sun-disc-sun" r="1" />}
        {place && moon ? (
          totality || hidden ? (
            <circle className="sun-disc-dark" cx={place.cx} cy={place.cy} r={moon.ratio} />
          ) : (
            <g clipPath={`url(#${id}-sun)`}>
              <circle className="sun-disc-moon" cx={place.cx} cy={place.cy} r={moon.ratio} />
            </g>
          )
        ) : null}
        {totality || hidden ? null : <circle className="sun-disc-rim" r="1" />}
      </svg>
    </figure>
  );
}

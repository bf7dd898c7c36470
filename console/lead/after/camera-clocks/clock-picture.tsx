/** Each sighting's interval, the band in which the line through them lies, and the bound at C2 and C3. */
import type { OffsetInterval } from "../../../../shared/images/camera-clock/photographs.ts";
import type { CameraClock } from "../../../../shared/images/camera-clock/solve.ts";
import { t } from "../../../words/words.ts";
import { layoutClockPicture, PICTURE } from "./clock-picture-layout.ts";

export function ClockPicture(props: {
  intervals: readonly OffsetInterval[];
  clock: CameraClock;
  zoneMin: number;
  contacts: readonly { label: string; utcMs: number }[];
}) {
  const { columns, ticks } = layoutClockPicture(props.intervals, props.clock, props.contacts);
  const floor = PICTURE.height - PICTURE.bottom;
  return (
    <svg
      className="clock-picture"
      viewBox={`0 0 ${PICTURE.width} ${PICTURE.height}`}
      role="img"
      aria-label={t("cameras.picture")}
      direction="ltr"
    >
      {ticks.map(({ offsetMs, y }) => (
        <g key={offsetMs}>
          <path
            d={`M${PICTURE.left - 4} ${y}H${PICTURE.width - PICTURE.right}`}
            className="clock-picture__rule"
          />
          <text x={PICTURE.left - 8} y={y + 4} textAnchor="end">
            {secondsText(offsetMs - props.zoneMin * 60_000)}
          </text>
        </g>
      ))}
      {columns.map((column) => {
        const { left, right } = column.band;
        const end = column.x + column.width;
        const middle = column.x + column.width / 2;
        return (
          <g key={`${column.label}${column.x}`} data-column={column.label || "sightings"}>
            <path
              className="clock-picture__band"
              d={`M${column.x} ${left[0]}L${end} ${right[0]}L${end} ${right[1]}L${column.x} ${left[1]}Z`}
            />
            <path
              className="clock-picture__line"
              d={`M${column.x} ${(left[0] + left[1]) / 2}L${end} ${(right[0] + right[1]) / 2}`}
            />
            {column.bars.map(({ index, used, x, top, bottom }) => (
              <path
                key={index}
                data-bar={used ? "used" : "dropped"}
                className={used ? "clock-picture__bar" : "clock-picture__bar clock-picture__bar--out"}
                d={
                  used
                    ? `M${x} ${top}V${bottom}M${x - 3} ${top}h6M${x - 3} ${bottom}h6`
                    : `M${x - 4} ${(top + bottom) / 2 - 4}l8 8m0 -8l-8 8M${x} ${top}V${bottom}`
                }
              />
            ))}
            {column.contact && (
              <>
                <path
                  className="clock-picture__at"
                  d={`M${middle} ${left[0]}V${left[1]}M${middle - 8} ${left[0]}h16M${middle - 8} ${left[1]}h16`}
                />
                <text x={middle} y={floor + 28} textAnchor="middle">
                  {column.label}
                </text>
              </>
            )}
            <path d={`M${column.x} ${floor + 4}H${end}`} className="clock-picture__floor" />
          </g>
        );
      })}
    </svg>
  );
}

function secondsText(ms: number): string {
  const s = Math.abs(ms) / 1000;
  return `${ms < 0 ? "−" : ""}${s >= 100 ? s.toFixed(0) : s >= 10 ? s.toFixed(1) : s.toFixed(2)} s`;
}

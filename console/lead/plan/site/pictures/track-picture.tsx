/** Where the Sun stands during the eclipse, with the contacts, over the horizon and the skyline. */
import type { Site } from "../../../../../shared/plan/model/plan.ts";
import { clockText } from "../../../../parts/time-format.ts";
import { t } from "../../../../words/words.ts";
import { type ContactLine, directionOf } from "../place-summary.ts";
import { labelPlaces } from "./label-places.ts";
import type { TrackPoint } from "./picture-data.ts";
import { skylineAltDeg, trackPlot } from "./track-plot.ts";

const W = 640;
const H = 320;
const LEFT = 44;
const FOOT = 36;
/** Of "C1 10:04" in the large letters of a phone. */
const LABEL = { width: 104, height: 24, clearance: 11 };

interface TrackPictureProps {
  track: readonly TrackPoint[];
  contacts: readonly ContactLine[];
  skyline: Site["skyline"];
  zone: string;
}

export function TrackPicture(props: TrackPictureProps) {
  const { track, contacts, skyline } = props;
  const plot = trackPlot(track, skyline);
  const px = ({ x, y }: { x: number; y: number }) => [LEFT + x * (W - LEFT), y * (H - FOOT)] as const;
  const line = (points: readonly { x: number; y: number }[]) =>
    points
      .map(
        (point, index) =>
          `${index === 0 ? "M" : "L"}${px(point)
            .map((v) => v.toFixed(1))
            .join(" ")}`,
      )
      .join("");
  const [, horizonY] = px(plot.at({ azimuthDeg: plot.fromAzDeg, altitudeDeg: 0 }));
  const named = contacts.filter((one) => one.name !== "max");
  const asPoint = (at: readonly [number, number]) => ({ x: at[0], y: at[1] });
  const places = labelPlaces(
    named.map((one) => asPoint(px(plot.at(one)))),
    plot.track.map((point) => asPoint(px(point))),
    { ...LABEL, left: LEFT, right: W, top: 0, bottom: H - FOOT },
  );
  const hidden = contacts.filter((one) => {
    const alt = skylineAltDeg(skyline, one.azimuthDeg);
    return alt !== null && one.altitudeDeg < alt;
  });
  return (
    <section className="track-picture">
      <h3>{t("lead.track.title")}</h3>
      {hidden.length > 0 && (
        <p className="track-picture__hidden" data-hidden={hidden.map((one) => one.name).join(" ")}>
          {t("lead.track.hidden", {
            contacts: hidden.map((one) => t(`lead.contact.${one.name}`)).join(", "),
          })}
        </p>
      )}
      <svg className="track-plot" viewBox={`0 0 ${W} ${H}`} role="img" aria-label={t("lead.track.label")}>
        {plot.altitudeTicks.map((alt) => {
          const [, y] = px(plot.at({ azimuthDeg: plot.fromAzDeg, altitudeDeg: alt }));
          return (
            <g key={alt}>
              <line className="track-plot__grid" x1={LEFT} x2={W} y1={y} y2={y} />
              <text className="track-plot__text" x={LEFT - 6} y={y + 4} textAnchor="end">
                {alt}°
              </text>
            </g>
          );
        })}
        {plot.azimuthTicks.map((az) => {
          const x = LEFT + ((az - plot.fromAzDeg) / (plot.toAzDeg - plot.fromAzDeg)) * (W - LEFT);
          const turn = ((az % 360) + 360) % 360;
          return (
            <g key={az}>
              <line className="track-plot__grid" x1={x} x2={x} y1={0} y2={H - FOOT} />
              <text className="track-plot__text" x={x} y={H - FOOT + 16} textAnchor="middle">
                {turn}°
              </text>
              {turn % 45 === 0 && (
                <text className="track-plot__text" x={x} y={H - FOOT + 32} textAnchor="middle">
                  {t(`lead.direction.${directionOf(turn)}`)}
                </text>
              )}
            </g>
          );
        })}
        {plot.skyline.length > 0 ? (
          <path className="track-plot__skyline" d={`${line(plot.skyline)}V${H - FOOT}H${LEFT}Z`} />
        ) : (
          <rect
            className="track-plot__skyline"
            x={LEFT}
            y={horizonY}
            width={W - LEFT}
            height={Math.max(0, H - FOOT - horizonY)}
          />
        )}
        <line className="track-plot__horizon" x1={LEFT} x2={W} y1={horizonY} y2={horizonY} />
        <path className="track-plot__track" d={line(plot.track)} />
        {contacts.map((one) => {
          const [x, y] = px(plot.at(one));
          return (
            <circle
              key={one.name}
              className="track-plot__contact"
              data-track-contact={one.name}
              cx={x}
              cy={y}
              r={one.name === "max" ? 4 : 5.5}
            />
          );
        })}
        {named.map((one, index) => (
          <text
            key={one.name}
            className="track-plot__name"
            x={places[index]?.x}
            y={places[index]?.y}
            textAnchor={places[index]?.anchor}
          >
            {t(`lead.contact.${one.name}`)} {clockText(one.utcMs).slice(0, 5)}
          </text>
        ))}
      </svg>
    </section>
  );
}

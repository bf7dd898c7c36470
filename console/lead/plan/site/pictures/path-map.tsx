/**
 * The path of the central shadow and this place: on the whole Earth, and near by. Coasts from the
 * public-domain Natural Earth data (world-atlas): 1:110 million for the Earth, 1:50 million near by,
 * where they may be off by some kilometres; path and place are exact.
 */
import { type GeoProjection, geoAzimuthalEquidistant, geoEqualEarth, geoGraticule, geoPath } from "d3-geo";
import { useEffect, useMemo, useState } from "react";
import { t } from "../../../../words/words.ts";
import { directionOf } from "../place-summary.ts";
import type { TypedPlace } from "../site-form.ts";
import { type Land, loadLand } from "./load-land.ts";
import { niceScaleKm, pathBand, pathLine } from "./path-shapes.ts";
import type { EclipsePath, PathDistance } from "./picture-data.ts";

interface PathMapProps {
  path: EclipsePath;
  distance: PathDistance | null;
  place: TypedPlace;
}

const WORLD = { width: 640, height: 312 };
const NEAR = { width: 640, height: 420 };
const EARTH_KM = 6371;
/** Half the width of the map near by, km: wide enough for the path and, if close, for its edges. */
const NEAR_LEAST_KM = 150;
const NEAR_MOST_KM = 1500;

export function PathMap(props: PathMapProps) {
  const { path, distance, place } = props;
  const hasPath = path.centre.length > 1;
  const [wide, setWide] = useState(false);
  const reachKm = Math.min(
    NEAR_MOST_KM,
    Math.max(NEAR_LEAST_KM, (distance?.edge?.km ?? 200) * 1.5, (distance?.centralLine?.km ?? 200) * 1.4),
  );
  const world = useMemo(
    () =>
      geoEqualEarth()
        .rotate([-place.lonDeg, 0])
        .fitExtent(
          [
            [4, 4],
            [WORLD.width - 4, WORLD.height - 4],
          ],
          { type: "Sphere" },
        ),
    [place.lonDeg],
  );
  const near = useMemo(
    () =>
      geoAzimuthalEquidistant()
        .rotate([-place.lonDeg, -place.latDeg])
        .translate([NEAR.width / 2, NEAR.height / 2])
        .scale(((NEAR.width / 2) * EARTH_KM) / (reachKm * (wide ? 3 : 1)))
        .clipExtent([
          [0, 0],
          [NEAR.width, NEAR.height],
        ]),
    [place.lonDeg, place.latDeg, reachKm, wide],
  );
  return (
    <section className="path-map">
      <h3>{t("lead.map.title")}</h3>
      <p data-inside-path={distance?.inside ?? "none"}>{whereText(hasPath, distance)}</p>
      <div className="path-map__two">
        <figure>
          <Chart
            projection={world}
            size={WORLD}
            scale="coarse"
            path={path}
            place={place}
            sphere
            label={t("lead.map.world")}
          />
          <figcaption>{t("lead.map.world")}</figcaption>
        </figure>
        <figure>
          <button
            type="button"
            className="path-map__zoom"
            data-action="zoom-map"
            aria-pressed={wide}
            onClick={() => setWide(!wide)}
          >
            <Chart
              projection={near}
              size={NEAR}
              scale="fine"
              path={path}
              place={place}
              distance={distance}
              kmPerPx={(reachKm * (wide ? 3 : 1)) / (NEAR.width / 2)}
              label={t("lead.map.near")}
            />
          </button>
          <figcaption>
            {t("lead.map.near")} · {t(wide ? "lead.map.closer" : "lead.map.wider")}
          </figcaption>
        </figure>
      </div>
    </section>
  );
}

interface ChartProps {
  projection: GeoProjection;
  size: { width: number; height: number };
  scale: "coarse" | "fine";
  path: EclipsePath;
  place: TypedPlace;
  sphere?: boolean;
  distance?: PathDistance | null;
  kmPerPx?: number;
  label: string;
}

function Chart(props: ChartProps) {
  const { projection, size, path, place, distance, kmPerPx } = props;
  const [land, setLand] = useState<Land | null>(null);
  useEffect(() => {
    let shown = true;
    void loadLand(props.scale).then((loaded) => {
      if (shown) setLand(loaded);
    });
    return () => {
      shown = false;
    };
  }, [props.scale]);
  const draw = geoPath(projection);
  // Thousands of points of coast: drawn once for a view, not with every letter that is typed.
  const coast = useMemo(() => (land ? (geoPath(projection)(land) ?? "") : ""), [projection, land]);
  const at = projection([place.lonDeg, place.latDeg]);
  const line = distance?.centralLine;
  const band = pathBand(path);
  const barKm = kmPerPx ? niceScaleKm(kmPerPx * size.width * 0.22) : 0;
  return (
    <svg className="map" viewBox={`0 0 ${size.width} ${size.height}`} role="img" aria-label={props.label}>
      {props.sphere ? (
        <path className="map__sea" d={draw({ type: "Sphere" }) ?? ""} />
      ) : (
        <rect className="map__sea" width={size.width} height={size.height} />
      )}
      <path className="map__land" d={coast} />
      <path className="map__grid" d={draw(graticule(props.scale)) ?? ""} />
      {band && <path className="map__band" d={draw(band) ?? ""} />}
      {(["north", "south"] as const).map((edge) => (
        <path key={edge} className="map__edge" d={draw(pathLine(path[edge])) ?? ""} />
      ))}
      <path className="map__centre" d={draw(pathLine(path.centre)) ?? ""} />
      {line && at && (
        <path
          className="map__way"
          d={
            draw(
              pathLine([
                [place.lonDeg, place.latDeg],
                [line.lonDeg, line.latDeg],
              ]),
            ) ?? ""
          }
        />
      )}
      {at && (
        <g className="map__site" transform={`translate(${at[0]} ${at[1]})`}>
          <circle r="9" />
          <circle r="3" />
        </g>
      )}
      {barKm > 0 && kmPerPx && (
        <g transform={`translate(14 ${size.height - 16})`}>
          <path className="map__bar" d={`M0 -6 V0 H${barKm / kmPerPx} V-6`} />
          <text className="map__text" x={barKm / kmPerPx + 8} y="2">
            {barKm} km
          </text>
        </g>
      )}
    </svg>
  );
}

function graticule(scale: "coarse" | "fine") {
  const step = scale === "coarse" ? 30 : 2;
  return geoGraticule().step([step, step])();
}

/** Inside or outside the path, how far from line and edge, and what 1 km gains. */
function whereText(hasPath: boolean, distance: PathDistance | null): string {
  if (!hasPath) return t("lead.map.noPath");
  if (!distance?.centralLine || !distance.edge) return t("lead.map.far");
  const { centralLine, edge, gainSPerKm, inside } = distance;
  const km = (value: number) => (value < 10 ? value.toFixed(1) : value.toFixed(0));
  const toward = (bearingDeg: number) => t(`lead.direction.${directionOf(bearingDeg)}`);
  const values = {
    line: km(centralLine.km),
    lineToward: toward(centralLine.bearingDeg),
    edge: km(edge.km),
    edgeToward: toward(edge.bearingDeg),
  };
  const where = t(inside ? "lead.map.inside" : "lead.map.outside", values);
  if (!inside || gainSPerKm < 0.05) return where;
  return `${where} ${t("lead.map.gain", { seconds: gainSPerKm.toFixed(1) })}`;
}

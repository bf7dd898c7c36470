/** The Sun as it stands in this place's sky, zenith up, at the moment of the slider, with beads. */
import { useId, useState } from "react";
import type { Circumstances } from "../../../../../shared/eclipse/circumstances-types.ts";
import { parallacticAngleDeg } from "../../../../parts/moon-position.ts";
import { SunDisc } from "../../../../parts/sun-disc.tsx";
import { clockText } from "../../../../parts/time-format.ts";
import { t } from "../../../../words/words.ts";
import { Button } from "../../../shell/button.tsx";
import { type ContactLine, percentText } from "../place-summary.ts";
import { beadsNear } from "./beads.ts";
import type { Beads, TrackPoint } from "./picture-data.ts";
import { trackAt } from "./track-at.ts";

interface DiscPictureProps {
  circumstances: Circumstances;
  contacts: readonly ContactLine[];
  track: readonly TrackPoint[];
  beads: Beads | null;
  latDeg: number;
}

/** The view of parts/sun-disc.tsx, in solar radii: the beads lie over it. */
const DISC_VIEW = "-1.25 -1.5 2.5 2.75";
/** How long before C2 and after C3 beads are drawn as being there, ms. */
const BEADS_MS = 12_000;

export function DiscPicture(props: DiscPictureProps) {
  const id = useId();
  const { circumstances, contacts, track } = props;
  const first = contacts[0]?.utcMs ?? 0;
  const last = contacts.at(-1)?.utcMs ?? 0;
  const start = contacts.find((one) => one.name === "c2") ?? contacts.find((one) => one.name === "max");
  const [atMs, setAtMs] = useState<number>(start?.utcMs ?? first);
  const disc = trackAt(track, atMs);
  if (!disc || last <= first) return null;
  const parallactic = parallacticAngleDeg(disc, props.latDeg);
  const time = (name: ContactLine["name"]) => contacts.find((one) => one.name === name)?.utcMs ?? null;
  const c2 = time("c2");
  const c3 = time("c3");
  const within = c2 !== null && c3 !== null && atMs >= c2 && atMs <= c3;
  const touching = disc.separation < 1 + disc.ratio;
  // At maximum it is the figure that stands beside the picture, to the last digit.
  const share = atMs === time("max") ? circumstances.obscuration : disc.covered;
  const covered = within && circumstances.kind === "total" ? "100" : percentText(share);
  const says = disc.altitudeDeg < -1 ? t("lead.disc.down") : t("lead.disc.covered", { percent: covered });
  const beads = beadsNear(props.beads, atMs, BEADS_MS);
  return (
    <section className="disc-picture">
      <h3>{t("lead.disc.title")}</h3>
      <div className="disc-picture__row">
        <div className="disc-picture__disc">
          <SunDisc
            moon={
              touching
                ? {
                    separation: disc.separation,
                    angleFromZenithDeg: disc.positionAngleDeg - parallactic,
                    ratio: disc.ratio,
                  }
                : null
            }
            totality={within && circumstances.kind === "total"}
            belowHorizon={disc.altitudeDeg < -1}
            label={`${clockText(atMs)} ${t("time.utc")}: ${says}`}
          />
          <svg className="disc-picture__beads" viewBox={DISC_VIEW} aria-hidden="true">
            {beads.map((bead) => {
              const angle = ((bead.positionAngleDeg - parallactic) * Math.PI) / 180;
              return (
                <circle
                  key={`${bead.positionAngleDeg} ${bead.fromUtcMs}`}
                  cx={-Math.sin(angle)}
                  cy={-Math.cos(angle)}
                  r={bead.lit ? 0.07 : 0.035}
                  data-lit={bead.lit}
                />
              );
            })}
          </svg>
        </div>
        <div className="disc-picture__side">
          <p className="disc-picture__time figures">
            {clockText(atMs)} {t("time.utc")}
          </p>
          <p>{says}</p>
          <p className="soft">
            {t("lead.disc.stands", {
              height: disc.altitudeDeg.toFixed(0),
              azimuth: Math.round(disc.azimuthDeg) % 360,
            })}
          </p>
          {beads.length > 0 && (
            <p>{t("lead.disc.beads", { count: beads.filter((bead) => bead.lit).length })}</p>
          )}
          <p className="soft">{t("lead.disc.zenithUp")}</p>
        </div>
      </div>
      <label htmlFor={id} className="soft">
        {t("lead.disc.moment")}
      </label>
      <input
        id={id}
        className="disc-picture__slider"
        type="range"
        name="moment"
        min={first}
        max={last}
        step={1000}
        value={atMs}
        aria-valuetext={`${clockText(atMs)} ${t("time.utc")}`}
        onChange={(event) => setAtMs(Number(event.target.value))}
      />
      <div className="disc-picture__jumps">
        {contacts.map((one) => (
          <Button
            key={one.name}
            action={`moment-${one.name}`}
            kind="quiet"
            onClick={() => setAtMs(one.utcMs)}
          >
            {t(`lead.contact.${one.name}`)}
          </Button>
        ))}
      </div>
    </section>
  );
}

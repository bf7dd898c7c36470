/** What a rig's equipment gives in this eclipse, each with where the figures come from. */
import type { ReactNode } from "react";
import type { Sensor } from "../../../../shared/budget/framing.ts";
import type { Phenomenon } from "../../../../shared/budget/phenomena.ts";
import type { RigBudget } from "../../../../shared/plan/budgets/rig-budget.ts";
import { clockText } from "../../../parts/time-format.ts";
import { lengthWords } from "../../../parts/words-for-length.ts";
import { t, type WordKey } from "../../../words/words.ts";
import { bodyName } from "./body-name.ts";
import type { FixedStand, FrameSky } from "./frame-sky.ts";
import { FramingPicture } from "./framing-picture.tsx";
import { EndLine, ExposureLine } from "./gives-pictures.tsx";

interface WhatItGivesProps {
  budget: RigBudget | null;
  sensor: Sensor | null;
  /** End of the eclipse here, UTC ms; null where it has none. */
  c4UtcMs: number | null;
  waiting: boolean;
  /** Phenomena whose brightness is the group's own. */
  own: readonly Phenomenon[];
  sky: FrameSky | null;
  /** Of a camera that stands still; null for one that follows, or while it is not known. */
  stand: FixedStand | null;
}

export function WhatItGives({ budget, sensor, c4UtcMs, waiting, own, sky, stand }: WhatItGivesProps) {
  return (
    <section className="what-it-gives" data-part="gives" data-waiting={waiting} aria-busy={waiting}>
      <h3>{t("gives.title")}</h3>
      {budget ? (
        <>
          <Exposure budget={budget} own={own} />
          <FramingPart budget={budget} sensor={sensor} sky={sky} stand={stand} />
          <Stores budget={budget} c4UtcMs={c4UtcMs} />
        </>
      ) : (
        <p className="soft">{t(waiting ? "gives.looking" : "gives.noPlace")}</p>
      )}
    </section>
  );
}

function Part(props: { name: string; title: WordKey; source: WordKey; children: ReactNode }) {
  return (
    <section className="what-it-gives__part" data-gives={props.name}>
      <h4>{t(props.title)}</h4>
      {props.children}
      <p className="soft what-it-gives__source">{t(props.source)}</p>
    </section>
  );
}

function Exposure({
  budget: { exposure, bracket },
  own,
}: Pick<WhatItGivesProps, "own"> & { budget: RigBudget }) {
  return (
    <Part name="exposure" title="gives.exposure" source="gives.exposureSource">
      {exposure.length === 0 ? (
        <p className="soft">{t("gives.exposureNeeds")}</p>
      ) : (
        <dl className="what-it-gives__times">
          {exposure.map(({ phenomenon, stop, offStops }) => (
            <div key={phenomenon} data-phenomenon={phenomenon} data-off={offStops !== 0}>
              <dt>{t(`phenomenon.${phenomenon}`)}</dt>
              <dd className="figures" dir="ltr">{`${stop} s`}</dd>
              {offStops !== 0 && (
                <dd className="soft">
                  {t(offStops > 0 ? "gives.tooBright" : "gives.tooDark", {
                    stops: Math.abs(offStops).toFixed(1),
                  })}
                </dd>
              )}
            </div>
          ))}
        </dl>
      )}
      <ExposureLine exposure={exposure} bracket={bracket} />
      {own.length > 0 && (
        <p data-own-brightness={own.length}>
          {t("brightness.own", { what: own.map((of) => t(`phenomenon.${of}`)).join(", ") })}
        </p>
      )}
      {bracket && (
        <p data-fits={bracket.fits}>
          {t("gives.bracket", {
            frames: bracket.frames.length,
            from: bracket.frames[0]?.name ?? "",
            to: bracket.frames.at(-1)?.name ?? "",
            length: lengthWords(bracket.lengthS),
          })}{" "}
          <strong>{t("gives.fits", { count: bracket.fits })}</strong>
        </p>
      )}
    </Part>
  );
}

function FramingPart({
  budget: { framing },
  sensor,
  sky,
  stand,
}: Pick<WhatItGivesProps, "sensor" | "sky" | "stand"> & { budget: RigBudget }) {
  return (
    <Part name="framing" title="gives.framing" source="gives.framingSource">
      {!framing && <p className="soft">{t("gives.framingNeeds")}</p>}
      {framing && sensor && <FramingPicture framing={framing} sensor={sensor} sky={sky} />}
      {framing && sensor && sky && <InFrame sky={sky} />}
      {framing && sensor && stand && <Stand stand={stand} />}
      {framing && (
        <p>
          {t("gives.sun", { mm: framing.sunMm.toFixed(1) })}
          {framing.sunPx !== null && ` ${t("gives.sunPx", { px: Math.round(framing.sunPx) })}`}
          {framing.radiiThatFit !== null &&
            ` ${t("gives.radii", { radii: framing.radiiThatFit.toFixed(1) })}`}
        </p>
      )}
      {framing && framing.driftPxPerS !== null && (
        <p>
          {framing.driftPxPerS < 0.005
            ? t("gives.noDrift")
            : t("gives.drift", { px: framing.driftPxPerS.toFixed(2) })}
          {framing.longestSharpS !== null &&
            ` ${t("gives.sharp", { seconds: sharpText(framing.longestSharpS) })}`}
        </p>
      )}
    </Part>
  );
}

/** Fainter ones nobody looks for. */
const TOLD_MOST = 10;

function InFrame({ sky }: { sky: FrameSky }) {
  const named = sky.bodies.slice(0, TOLD_MOST).map(({ name }) => bodyName(name));
  const names = [...named, ...(sky.bodies.length > TOLD_MOST ? ["…"] : [])].join(", ");
  return (
    <>
      <p data-in-frame={sky.bodies.length}>
        {sky.bodies.length === 0 ? t("frame.alone") : t("frame.holds", { names })}{" "}
        {t(sky.level ? "frame.level" : "frame.equatorial")}
      </p>
      <p className="soft what-it-gives__source">{t("frame.source")}</p>
    </>
  );
}

function Stand({ stand: { pointing, from, until } }: { stand: FixedStand }) {
  return (
    <p data-stand={pointing.azimuthDeg.toFixed(1)}>
      {t("frame.point", {
        azimuth: pointing.azimuthDeg.toFixed(1),
        height: pointing.altitudeDeg.toFixed(1),
      })}{" "}
      {from === null || until === null
        ? t("frame.never")
        : t("frame.held", { from: clockText(from), until: clockText(until) })}
    </p>
  );
}

function sharpText(seconds: number): string {
  return seconds < 10 ? seconds.toFixed(1) : String(Math.round(seconds));
}

function Stores({ budget, c4UtcMs }: { budget: RigBudget; c4UtcMs: number | null }) {
  const { frames, storageGB, cardFullAtUtcMs, batteryEndsAtUtcMs, burstS } = budget;
  return (
    <Part name="stores" title="gives.stores" source="gives.storesSource">
      <p data-card-full={cardFullAtUtcMs !== null}>
        {storageGB === null
          ? t("gives.cardNeeds")
          : t("gives.card", {
              gb: storageGB.toFixed(storageGB < 10 ? 1 : 0),
              frames: Math.round(frames),
            })}{" "}
        {storageGB !== null &&
          (cardFullAtUtcMs === null ? (
            t("gives.cardEnough")
          ) : (
            <Against at={cardFullAtUtcMs} c4={c4UtcMs} before="gives.cardBefore" after="gives.cardAfter" />
          ))}
      </p>
      {storageGB !== null && <EndLine at={cardFullAtUtcMs} c4UtcMs={c4UtcMs} />}
      <p>
        {batteryEndsAtUtcMs === null ? (
          t("gives.batteryNeeds")
        ) : (
          <Against
            at={batteryEndsAtUtcMs}
            c4={c4UtcMs}
            before="gives.batteryBefore"
            after="gives.batteryAfter"
          />
        )}
      </p>
      {batteryEndsAtUtcMs !== null && <EndLine at={batteryEndsAtUtcMs} c4UtcMs={c4UtcMs} />}
      {burstS !== null && <p>{t("gives.burst", { length: lengthWords(burstS) })}</p>}
    </Part>
  );
}

/** An end against the end of the eclipse: before it is a caution. */
function Against(props: { at: number; c4: number | null; before: WordKey; after: WordKey }) {
  const { at, c4 } = props;
  const early = c4 !== null && at < c4;
  const values = {
    time: `${clockText(at)} UTC`,
    length: c4 === null ? "—" : lengthWords(Math.abs(at - c4) / 1000),
  };
  return early ? (
    <strong className="what-it-gives__early">{t(props.before, values)}</strong>
  ) : (
    <span>{t(props.after, values)}</span>
  );
}

/** What follows from a camera's basis: the sentence, the picture, and what was left out and why. */
import type { CameraBasis } from "../../../../shared/fields/camera-clock.ts";
import { clockOf, intervalsOf, missMs } from "../../../../shared/images/camera-clock/known-clock.ts";
import { localEclipse } from "../../../../shared/plan/local-eclipse.ts";
import type { SiteState } from "../../../../shared/run/state.ts";
import { t } from "../../../words/words.ts";
import { ClockPicture } from "./clock-picture.tsx";
import { clockSentence, zoneOffsetText } from "./clock-sentence.ts";

export function ClockResult(props: {
  camera: string;
  basis: CameraBasis;
  zoneMin: number;
  state: SiteState;
}) {
  const { camera, basis, zoneMin, state } = props;
  const clock = clockOf(basis, zoneMin);
  if (!clock) return <p data-sentence>{t("cameras.unknown", { camera })}</p>;
  const { c2, max, c3 } = localEclipse(state.circumstances).contacts;
  const intervals = intervalsOf(basis, zoneMin);
  const [label, at] =
    c2 !== null
      ? ["C2", c2]
      : max !== null
        ? [t("anchor.max"), max]
        : [t("cameras.atSightings"), clock.originUtcMs];
  const contacts = [
    ...(c2 === null ? [] : [{ label: "C2", utcMs: c2 }]),
    ...(c3 === null ? [] : [{ label: "C3", utcMs: c3 }]),
  ];
  const sightings = basis.how === "sightings" ? basis.sightings : [];
  return (
    <div className="clock-result">
      <p className="clock-result__sentence" data-sentence>
        {clockSentence(camera, label, clock, zoneMin, at)}
      </p>
      {c2 !== null && c3 !== null && (
        <p className="soft" data-at="C3">
          {clockSentence(camera, "C3", clock, zoneMin, c3)}
        </p>
      )}
      {zoneMin !== 0 && <p className="soft">{t("cameras.zoneIs", { zone: zoneOffsetText(zoneMin) })}</p>}
      <ClockPicture intervals={intervals} clock={clock} zoneMin={zoneMin} contacts={contacts} />
      {clock.dropped.length > 0 && (
        <ul className="clock-result__dropped">
          {clock.dropped.map((i) => {
            const interval = intervals[i];
            return (
              <li key={i} data-dropped={sightings[i]?.name}>
                {t("cameras.dropped", {
                  name: sightings[i]?.name || t("cameras.nameless"),
                  by: interval ? (missMs(clock, interval) / 1000).toFixed(2) : "",
                })}
              </li>
            );
          })}
        </ul>
      )}
    </div>
  );
}

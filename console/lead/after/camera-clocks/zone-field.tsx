/** The civil time a camera was set to: whole quarter-hours, apart from how wrong its clock is. */
import { useId } from "react";
import { ZoneMin } from "../../../../shared/fields/camera-clock.ts";
import { rangeOf } from "../../../../shared/fields/number.ts";
import { zoneAndRest } from "../../../../shared/images/camera-clock/solve.ts";
import { t } from "../../../words/words.ts";
import { zoneOffsetText } from "./clock-sentence.ts";

const { least, most } = rangeOf(ZoneMin);
const ZONES = Array.from({ length: (most - least) / 15 + 1 }, (_, i) => least + 15 * i);

/** The zone that a camera so far ahead of UTC, ms, was probably set to. */
export function zoneNear(apartMs: number): number {
  return Math.min(most, Math.max(least, zoneAndRest(apartMs).zoneMin));
}

export function ZoneField(props: { value: number; change: (zoneMin: number) => void }) {
  const id = useId();
  return (
    <div className="labelled">
      <label htmlFor={id}>{t("cameras.zone")}</label>
      <select
        id={id}
        name="zone"
        className="field"
        dir="ltr"
        value={props.value}
        onChange={(event) => props.change(Number(event.target.value))}
      >
        {ZONES.map((zoneMin) => (
          <option key={zoneMin} value={zoneMin}>
            UTC{zoneMin === 0 ? "" : zoneOffsetText(zoneMin)}
          </option>
        ))}
      </select>
    </div>
  );
}

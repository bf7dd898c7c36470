/** "Arm this phone": one tap, then what this phone can and cannot do, and what to do about it. */

import { AlertShape } from "../../parts/alert-shape.tsx";
import { ConfirmButton } from "../../parts/confirm-button.tsx";
import { useWords } from "../../words/words.ts";
import { isSoundDelay, SOUND_DELAY_MOST_MS, setPrefs, usePrefs } from "../device/prefs.ts";
import { usePhoneBattery } from "../device/use-battery.ts";
import { kmText } from "../place/km-text.ts";
import type { PositionView } from "../place/position-watch.ts";
import type { Sounds } from "../sound/use-sounds.ts";

interface ArmPartProps extends Sounds {
  /** Where the phone is; null until that is watched. */
  position: PositionView | null;
}

/** A phone with less may not last the afternoon with its screen on. Common practice, no source. */
const LOW_PCT = 40;

export function ArmPart({ armed, arm, position }: ArmPartProps) {
  const { t } = useWords();
  const { soundDelayMs } = usePrefs();
  const batteryPct = usePhoneBattery();
  const ready = armed.asked && armed.sound;
  return (
    <section className="rig-part" data-armed={ready}>
      <div data-action="arm">
        <ConfirmButton
          label={t(ready ? "rig.arm.again" : "rig.arm.do")}
          hint={t(ready ? "rig.arm.checkHint" : "rig.arm.hint")}
          tone={ready ? "outlined" : "filled"}
          disabled={!arm}
          onPress={() => arm?.()}
        />
      </div>
      {position?.word === null ? <p className="rig-soft">{t("rig.arm.position")}</p> : null}
      {armed.asked ? (
        <ul className="rig-can" aria-live="polite">
          <Can what="screen" good={armed.screen === "locked"} words={t(`rig.can.screen.${armed.screen}`)} />
          <Can
            what="sound"
            good={armed.sound}
            words={t(armed.sound ? "rig.can.sound.yes" : "rig.can.sound.no")}
          />
          <Can
            what="voice"
            good={armed.voice}
            words={t(armed.voice ? "rig.can.voice.yes" : "rig.can.voice.no")}
          />
          <Can
            what="vibration"
            good={armed.vibration}
            words={t(armed.vibration ? "rig.can.vibration.yes" : "rig.can.vibration.no")}
          />
          {batteryPct === null ? null : (
            <Can
              what="battery"
              good={batteryPct >= LOW_PCT}
              words={t(batteryPct >= LOW_PCT ? "rig.can.battery.good" : "rig.can.battery.low", {
                pct: batteryPct,
              })}
            />
          )}
          {position?.word ? (
            <Can
              what="position"
              good={position.word === "known"}
              words={t(`rig.can.position.${position.word}`, {
                m: String(Math.ceil(position.boundM)),
                km: kmText(position.awayM),
              })}
            />
          ) : null}
        </ul>
      ) : null}
      <label className="rig-field">
        <span>{t("rig.delay.label")}</span>
        <input
          type="number"
          inputMode="numeric"
          min={0}
          max={SOUND_DELAY_MOST_MS}
          step={10}
          data-field="sound-delay"
          defaultValue={soundDelayMs}
          onChange={(event) => {
            const delay = event.currentTarget.valueAsNumber;
            if (isSoundDelay(delay)) setPrefs({ soundDelayMs: delay });
          }}
        />
        <span className="rig-soft">{t("rig.delay.hint")}</span>
      </label>
      <p className="rig-last-word">{t("rule.S15")}</p>
      <p className="rig-soft">{t("rules.caution")}</p>
    </section>
  );
}

function Can({ what, good, words }: { what: string; good: boolean; words: string }) {
  return (
    <li data-can={what} data-good={good}>
      {good ? (
        <svg className="rig-can-shape" viewBox="0 0 24 24" aria-hidden="true" focusable="false">
          <path d="M3 12.5 9.5 19.5 21 4.5" fill="none" stroke="currentColor" strokeWidth="3.5" />
        </svg>
      ) : (
        <AlertShape priority="caution" />
      )}
      <span>{words}</span>
    </li>
  );
}

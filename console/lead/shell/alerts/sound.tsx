/**
 * Whether danger is heard on this console, and the button for it: one sound and one silence, whichever
 * place of the page has room for the button (`where`).
 */
import { createContext, type ReactNode, useContext, useState } from "react";
import { clockText } from "../../../parts/time-format.ts";
import { t } from "../../../words/words.ts";
import { Button } from "../button.tsx";
import { useRun } from "../use-run.ts";
import { useDangerSound } from "./danger-sound.ts";
import { heardOf, type Silence, silenceFor } from "./silence.ts";

interface Sound {
  /** Something is to be heard now. */
  on: boolean;
  /** The browser lets this page sound. */
  ready: boolean;
  /** What stands has been silenced until then, UTC ms; null while nothing is. */
  silentUntilUtcMs: number | null;
  silence(): void;
  soundOn(): void;
}

const SoundContext = createContext<Sound>({
  on: false,
  ready: false,
  silentUntilUtcMs: null,
  silence: () => undefined,
  soundOn: () => undefined,
});

export const useSound = (): Sound => useContext(SoundContext);

export function SoundProvider({ children }: { children: ReactNode }) {
  const now = useRun();
  const [silence, setSilence] = useState<Silence | null>(null);
  const heard = now ? heardOf(now.alerts, silence, now.now) : [];
  const ready = useDangerSound(heard.length > 0);
  const dangers = now?.alerts.filter(({ priority }) => priority === "danger") ?? [];
  const silent =
    silence !== null && now !== null && now.now < silence.untilUtcMs && dangers.length > heard.length;
  const sound: Sound = {
    on: heard.length > 0,
    ready,
    silentUntilUtcMs: silent && heard.length === 0 ? silence.untilUtcMs : null,
    silence: () => now && setSilence(silenceFor(now.alerts, now.now)),
    soundOn: () => setSilence(null),
  };
  return <SoundContext value={sound}>{children}</SoundContext>;
}

/** Nothing while nothing is heard or silenced. */
export function SoundControl() {
  const { on, ready, silentUntilUtcMs, silence, soundOn } = useSound();
  if (!on && silentUntilUtcMs === null) return null;
  return (
    <span className="sound-control">
      {!ready ? (
        <span data-sound="locked">{t("lead.sound.locked")}</span>
      ) : silentUntilUtcMs !== null ? (
        <>
          <span data-sound="silent">
            {t("lead.sound.silentUntil", { time: `${clockText(silentUntilUtcMs)} ${t("time.utc")}` })}
          </span>
          <Button action="sound-on" onClick={soundOn}>
            {t("lead.sound.on")}
          </Button>
        </>
      ) : (
        <Button action="silence" onClick={silence}>
          {t("lead.sound.silence")}
        </Button>
      )}
    </span>
  );
}

/** What an armed phone can do, as pages show it and as the lead is told. Pure. */
import type { Report } from "../../../shared/run/facts/report-schema.ts";
import type { Prefs } from "./prefs.ts";

type Armed = NonNullable<Report["armed"]>;

export interface ArmingView {
  /** Asked for since this page was loaded. */
  asked: boolean;
  /** "maybe": no wake lock here, and the stand-in is not reliable. */
  screen: "locked" | "maybe" | "no";
  sound: boolean;
  /** Clips or speech synthesis. */
  voice: boolean;
  vibration: boolean;
}

export const NOT_ARMED: ArmingView = {
  asked: false,
  screen: "no",
  sound: false,
  voice: false,
  vibration: false,
};

/** What the lead is told. "Maybe" does not count as kept on. */
export function armedReport(view: ArmingView, prefs: Pick<Prefs, "sound" | "voice" | "vibration">): Armed {
  return {
    screen: view.screen === "locked",
    sound: view.sound && prefs.sound,
    voice: view.voice && prefs.voice,
    vibration: view.vibration && prefs.vibration,
  };
}

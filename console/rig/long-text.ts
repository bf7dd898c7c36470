import { countdownText } from "../parts/time-format.ts";
import type { Translate } from "../words/words.ts";

/** From here on whole days are enough, ms. */
export const FAR_MS = 48 * 3_600_000;

/** Time still to go, ms: hours, minutes and seconds up to two days; beyond that whole days. */
export function longText(left: number, t: Translate): string {
  return left > FAR_MS ? t("rig.days", { count: Math.floor(left / 86_400_000) }) : countdownText(left);
}

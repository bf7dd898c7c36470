/** An alert in words where only its cause and its rig are known any more: "Kite: the card is full". */
import "../../../words/bundles/alerts.ts";
import { isWordKey, t } from "../../../words/words.ts";

/** A cause that this console does not know is named as it stands in the log. */
export function alertText(cause: string, rig: string): string {
  const key = `alert.${cause}`;
  return isWordKey(key) ? t(key, { rig }) : cause;
}
